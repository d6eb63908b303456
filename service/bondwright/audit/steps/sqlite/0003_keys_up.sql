-- Keys of callers, and the keys by which a request may be sent again and be answered as before.

CREATE TABLE key (
    key_id TEXT NOT NULL PRIMARY KEY,
    tenant TEXT NOT NULL CHECK (tenant <> ''),
    scopes TEXT NOT NULL,
    label TEXT NOT NULL,
    secret_digest TEXT NOT NULL CHECK (length(secret_digest) = 64),
    created_at TEXT NOT NULL,
    expires_at TEXT,
    revoked_at TEXT,
    last_used_at TEXT
) STRICT;

CREATE TRIGGER key_stays_what_it_is BEFORE UPDATE OF key_id, tenant, scopes, label, secret_digest, created_at ON key
BEGIN SELECT RAISE(ABORT, 'what a key is for stays as it is'); END;

CREATE TRIGGER key_stays_revoked BEFORE UPDATE OF revoked_at ON key
WHEN OLD.revoked_at IS NOT NULL AND NEW.revoked_at IS NOT OLD.revoked_at
BEGIN SELECT RAISE(ABORT, 'a revoked key stays revoked'); END;

CREATE TRIGGER key_never_delete BEFORE DELETE ON key
BEGIN SELECT RAISE(ABORT, 'keys are revoked, not removed'); END;

CREATE TRIGGER key_never_replaced BEFORE INSERT ON key
WHEN EXISTS (SELECT 1 FROM key WHERE key_id = NEW.key_id)
BEGIN SELECT RAISE(ABORT, 'the key_id is taken'); END;

CREATE TABLE repeated_request (
    tenant TEXT NOT NULL,
    idempotency_key TEXT NOT NULL,
    request_digest TEXT NOT NULL CHECK (length(request_digest) = 64),
    counter INTEGER NOT NULL,
    PRIMARY KEY (tenant, idempotency_key),
    FOREIGN KEY (tenant, counter) REFERENCES record (tenant, counter) DEFERRABLE INITIALLY DEFERRED
) STRICT, WITHOUT ROWID;

CREATE TRIGGER repeated_request_never_replaced BEFORE INSERT ON repeated_request
WHEN EXISTS (SELECT 1 FROM repeated_request WHERE tenant = NEW.tenant AND idempotency_key = NEW.idempotency_key)
BEGIN SELECT RAISE(ABORT, 'the idempotency key is taken'); END;

CREATE TRIGGER repeated_request_never_update BEFORE UPDATE ON repeated_request
BEGIN SELECT RAISE(ABORT, 'what is recorded stays as it is'); END;

CREATE TRIGGER repeated_request_never_delete BEFORE DELETE ON repeated_request
BEGIN SELECT RAISE(ABORT, 'what is recorded stays as it is'); END;

PRAGMA user_version = 3;

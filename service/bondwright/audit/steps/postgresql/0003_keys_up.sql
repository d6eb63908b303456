-- Keys of callers, and the keys by which a request may be sent again and be answered as before. Only the owner makes and revokes keys.

CREATE TABLE key (
    key_id text COLLATE "C" NOT NULL CONSTRAINT "the key_id is taken" PRIMARY KEY,
    tenant text COLLATE "C" NOT NULL CHECK (tenant <> ''),
    scopes text COLLATE "C" NOT NULL,
    label text COLLATE "C" NOT NULL,
    secret_digest text COLLATE "C" NOT NULL CHECK (length(secret_digest) = 64),
    created_at text COLLATE "C" NOT NULL,
    expires_at text COLLATE "C",
    revoked_at text COLLATE "C",
    last_used_at text COLLATE "C"
);

CREATE FUNCTION key_stays_what_it_is() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF (NEW.key_id, NEW.tenant, NEW.scopes, NEW.label, NEW.secret_digest, NEW.created_at)
        IS DISTINCT FROM (OLD.key_id, OLD.tenant, OLD.scopes, OLD.label, OLD.secret_digest, OLD.created_at) THEN
        RAISE EXCEPTION 'what a key is for stays as it is' USING ERRCODE = 'integrity_constraint_violation';
    END IF;
    IF OLD.revoked_at IS NOT NULL AND NEW.revoked_at IS DISTINCT FROM OLD.revoked_at THEN
        RAISE EXCEPTION 'a revoked key stays revoked' USING ERRCODE = 'integrity_constraint_violation';
    END IF;
    RETURN NEW;
END
$$;

CREATE TRIGGER key_stays_what_it_is BEFORE UPDATE ON key FOR EACH ROW EXECUTE FUNCTION key_stays_what_it_is();
CREATE TRIGGER key_is_not_removed BEFORE DELETE OR TRUNCATE ON key FOR EACH STATEMENT EXECUTE FUNCTION stays_as_it_is();

CREATE TABLE repeated_request (
    tenant text COLLATE "C" NOT NULL,
    idempotency_key text COLLATE "C" NOT NULL,
    request_digest text COLLATE "C" NOT NULL CHECK (length(request_digest) = 64),
    counter bigint NOT NULL,
    CONSTRAINT "the idempotency key is taken" PRIMARY KEY (tenant, idempotency_key),
    FOREIGN KEY (tenant, counter) REFERENCES record (tenant, counter) DEFERRABLE INITIALLY DEFERRED
);

CREATE TRIGGER repeated_request_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON repeated_request
    FOR EACH STATEMENT EXECUTE FUNCTION stays_as_it_is();
ALTER TABLE repeated_request ENABLE ROW LEVEL SECURITY;
ALTER TABLE repeated_request FORCE ROW LEVEL SECURITY;
CREATE POLICY of_one_tenant ON repeated_request USING (tenant = current_setting('bondwright.tenant', true));

GRANT SELECT, UPDATE (last_used_at) ON key TO bondwright_application;
GRANT SELECT, INSERT ON repeated_request TO bondwright_application;
GRANT SELECT ON repeated_request TO bondwright_reader;

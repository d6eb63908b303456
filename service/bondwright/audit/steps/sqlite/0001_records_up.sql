-- Rule packs and evaluations, which can be added and never changed.

CREATE TABLE pack (
    pack_id TEXT NOT NULL PRIMARY KEY,
    digest TEXT NOT NULL UNIQUE CHECK (length(digest) = 64),
    first_used_at TEXT NOT NULL,
    text BLOB NOT NULL,
    UNIQUE (pack_id, digest)
) STRICT;

CREATE TABLE record (
    evaluation_id TEXT NOT NULL PRIMARY KEY,
    tenant TEXT NOT NULL,
    counter INTEGER NOT NULL,
    recorded_at TEXT NOT NULL CHECK (recorded_at GLOB
        '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9]Z'),
    pack_id TEXT NOT NULL,
    pack_digest TEXT NOT NULL,
    versions TEXT NOT NULL,
    evaluation_digest TEXT NOT NULL CHECK (length(evaluation_digest) = 64),
    salt BLOB NOT NULL CHECK (length(salt) >= 16),
    input_bytes BLOB NOT NULL,
    evaluation_bytes BLOB NOT NULL,
    UNIQUE (tenant, counter),
    FOREIGN KEY (pack_id, pack_digest) REFERENCES pack (pack_id, digest)
) STRICT;

CREATE TRIGGER record_counter_follows BEFORE INSERT ON record
WHEN NEW.counter IS NOT 1 + coalesce((SELECT max(counter) FROM record WHERE tenant = NEW.tenant), 0)
BEGIN SELECT RAISE(ABORT, 'the counter does not follow the last one'); END;

-- INSERT OR REPLACE fires the delete trigger only where recursive_triggers is on, which is each connection's own choice.
-- So a taken key is refused before the insert, the hidden rowid included.

CREATE TRIGGER pack_digest_never_replaced BEFORE INSERT ON pack
WHEN EXISTS (SELECT 1 FROM pack WHERE digest = NEW.digest)
BEGIN SELECT RAISE(ABORT, 'the pack is kept under another pack_id'); END;

CREATE TRIGGER record_never_replaced BEFORE INSERT ON record
WHEN EXISTS (SELECT 1 FROM record WHERE evaluation_id = NEW.evaluation_id) OR EXISTS (SELECT 1 FROM record WHERE rowid = NEW.rowid)
BEGIN SELECT RAISE(ABORT, 'the evaluation_id is taken'); END;

CREATE TRIGGER pack_never_replaced BEFORE INSERT ON pack
WHEN EXISTS (SELECT 1 FROM pack WHERE pack_id = NEW.pack_id) OR EXISTS (SELECT 1 FROM pack WHERE rowid = NEW.rowid)
BEGIN SELECT RAISE(ABORT, 'the pack_id is taken'); END;

CREATE TRIGGER record_never_update BEFORE update ON record
BEGIN SELECT RAISE(ABORT, 'what is recorded stays as it is'); END;

CREATE TRIGGER record_never_delete BEFORE delete ON record
BEGIN SELECT RAISE(ABORT, 'what is recorded stays as it is'); END;

CREATE TRIGGER pack_never_update BEFORE update ON pack
BEGIN SELECT RAISE(ABORT, 'what is recorded stays as it is'); END;

CREATE TRIGGER pack_never_delete BEFORE delete ON pack
BEGIN SELECT RAISE(ABORT, 'what is recorded stays as it is'); END;

-- Marks a SQLite file as ours (bytes 68 to 71 of the file): `Bond`.
PRAGMA application_id = 1114599012;

PRAGMA user_version = 1;

-- Rule packs and evaluations, which can be added and never changed. A member of bondwright_application may read and add the records
-- of one tenant at a time, that of the setting bondwright.tenant; a member of bondwright_reader may only read them.

DO $$
DECLARE
    needed text;
BEGIN
    FOREACH needed IN ARRAY ARRAY['bondwright_application', 'bondwright_reader'] LOOP
        IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = needed) THEN
            EXECUTE format('CREATE ROLE %I NOLOGIN', needed);
        END IF;
    END LOOP;
END
$$;

CREATE TABLE pack (
    pack_id text COLLATE "C" NOT NULL CONSTRAINT "the pack_id is taken" PRIMARY KEY,
    digest text COLLATE "C" NOT NULL CONSTRAINT "the pack is kept under another pack_id" UNIQUE CHECK (length(digest) = 64),
    first_used_at text COLLATE "C" NOT NULL,
    text bytea NOT NULL,
    UNIQUE (pack_id, digest)
);

CREATE TABLE record (
    evaluation_id text COLLATE "C" NOT NULL CONSTRAINT "the evaluation_id is taken" PRIMARY KEY,
    tenant text COLLATE "C" NOT NULL,
    counter bigint NOT NULL,
    recorded_at text COLLATE "C" NOT NULL CHECK (recorded_at ~ '^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}[.][0-9]{3}Z$'),
    pack_id text COLLATE "C" NOT NULL,
    pack_digest text COLLATE "C" NOT NULL,
    versions text COLLATE "C" NOT NULL,
    evaluation_digest text COLLATE "C" NOT NULL CHECK (length(evaluation_digest) = 64),
    salt bytea NOT NULL CHECK (octet_length(salt) >= 16),
    input_bytes bytea NOT NULL,
    evaluation_bytes bytea NOT NULL,
    UNIQUE (tenant, counter),
    FOREIGN KEY (pack_id, pack_digest) REFERENCES pack (pack_id, digest)
);

-- Quicker and smaller than what the server does by itself, if it is built with it.
DO $$
BEGIN
    ALTER TABLE record ALTER COLUMN input_bytes SET COMPRESSION lz4, ALTER COLUMN evaluation_bytes SET COMPRESSION lz4;
EXCEPTION WHEN feature_not_supported THEN
    NULL;
END
$$;

CREATE FUNCTION counter_follows() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NEW.counter IS DISTINCT FROM 1 + coalesce((SELECT max(counter) FROM record WHERE tenant = NEW.tenant), 0) THEN
        RAISE EXCEPTION 'the counter does not follow the last one' USING ERRCODE = 'integrity_constraint_violation';
    END IF;
    RETURN NEW;
END
$$;

CREATE TRIGGER record_counter_follows BEFORE INSERT ON record FOR EACH ROW EXECUTE FUNCTION counter_follows();

CREATE FUNCTION stays_as_it_is() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'what is recorded stays as it is' USING ERRCODE = 'integrity_constraint_violation';
END
$$;

CREATE TRIGGER pack_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON pack FOR EACH STATEMENT EXECUTE FUNCTION stays_as_it_is();
CREATE TRIGGER record_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON record FOR EACH STATEMENT EXECUTE FUNCTION stays_as_it_is();

ALTER TABLE record ENABLE ROW LEVEL SECURITY;
ALTER TABLE record FORCE ROW LEVEL SECURITY;
CREATE POLICY of_one_tenant ON record USING (tenant = current_setting('bondwright.tenant', true));

GRANT USAGE ON SCHEMA bondwright TO bondwright_application, bondwright_reader;
GRANT SELECT ON bondwright.alembic_version TO bondwright_application, bondwright_reader;
GRANT SELECT, INSERT ON pack, record TO bondwright_application;
GRANT SELECT ON pack, record TO bondwright_reader;

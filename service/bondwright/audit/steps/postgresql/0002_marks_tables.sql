-- What records are found by: a summary of each and its marks.

CREATE TABLE summary (
    tenant text COLLATE "C" NOT NULL,
    counter bigint NOT NULL,
    evaluation_id text COLLATE "C" NOT NULL,
    recorded_at text COLLATE "C" NOT NULL,
    reference text COLLATE "C" NOT NULL,
    pack_id text COLLATE "C" NOT NULL,
    day text COLLATE "C" NOT NULL,
    PRIMARY KEY (tenant, counter)
);

CREATE INDEX summary_by_reference ON summary (tenant, reference, counter);
CREATE INDEX summary_by_pack_id ON summary (tenant, pack_id, counter);
CREATE INDEX summary_by_recorded_at ON summary (tenant, recorded_at, counter);

CREATE TABLE rests_on_rule (
    tenant text COLLATE "C" NOT NULL,
    rule text COLLATE "C" NOT NULL,
    pack_id text COLLATE "C" NOT NULL,
    counter bigint NOT NULL,
    PRIMARY KEY (tenant, rule, pack_id, counter)
);

CREATE TABLE rests_on_clause (
    tenant text COLLATE "C" NOT NULL,
    clause text COLLATE "C" NOT NULL,
    counter bigint NOT NULL,
    PRIMARY KEY (tenant, clause, counter)
);

CREATE TABLE has_level (
    tenant text COLLATE "C" NOT NULL,
    outcome text COLLATE "C" NOT NULL,
    act_on text COLLATE "C" NOT NULL,
    counter bigint NOT NULL,
    PRIMARY KEY (tenant, outcome, act_on, counter)
);

-- The marks of every tenant's records are worked out next; the owner is bound to one tenant again below.
ALTER TABLE record NO FORCE ROW LEVEL SECURITY;

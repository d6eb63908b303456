-- What records are found by: a summary of each and its marks.

CREATE TABLE summary (
    tenant TEXT NOT NULL,
    counter INTEGER NOT NULL,
    evaluation_id TEXT NOT NULL,
    recorded_at TEXT NOT NULL,
    reference TEXT NOT NULL,
    pack_id TEXT NOT NULL,
    day TEXT NOT NULL,
    PRIMARY KEY (tenant, counter),
    FOREIGN KEY (tenant, counter) REFERENCES record (tenant, counter) DEFERRABLE INITIALLY DEFERRED
) STRICT, WITHOUT ROWID;

CREATE INDEX summary_by_reference ON summary (tenant, reference, counter);

CREATE INDEX summary_by_pack_id ON summary (tenant, pack_id, counter);

CREATE INDEX summary_by_recorded_at ON summary (tenant, recorded_at, counter);

CREATE TABLE rests_on_rule (
    tenant TEXT NOT NULL,
    rule TEXT NOT NULL,
    pack_id TEXT NOT NULL,
    counter INTEGER NOT NULL,
    PRIMARY KEY (tenant, rule, pack_id, counter)
) STRICT, WITHOUT ROWID;

CREATE TABLE rests_on_clause (
    tenant TEXT NOT NULL,
    clause TEXT NOT NULL,
    counter INTEGER NOT NULL,
    PRIMARY KEY (tenant, clause, counter)
) STRICT, WITHOUT ROWID;

CREATE TABLE has_level (
    tenant TEXT NOT NULL,
    outcome TEXT NOT NULL,
    act_on TEXT NOT NULL,
    counter INTEGER NOT NULL,
    PRIMARY KEY (tenant, outcome, act_on, counter)
) STRICT, WITHOUT ROWID;

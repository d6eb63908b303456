-- Keeps the marks in step with the records, and as unchangeable; set once the tables are filled.

ALTER TABLE summary ADD FOREIGN KEY (tenant, counter) REFERENCES record (tenant, counter) DEFERRABLE INITIALLY DEFERRED;
-- Not before, for the key is checked against every tenant's records.
ALTER TABLE record FORCE ROW LEVEL SECURITY;

-- First the summary, then the marks, then the record: so no record can be without them, and none can be added once it is kept.

CREATE FUNCTION has_a_summary() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NOT EXISTS (
        SELECT FROM summary WHERE tenant = NEW.tenant AND counter = NEW.counter AND evaluation_id = NEW.evaluation_id
            AND recorded_at = NEW.recorded_at AND pack_id = NEW.pack_id
    ) THEN
        RAISE EXCEPTION 'the record has no summary' USING ERRCODE = 'integrity_constraint_violation';
    END IF;
    RETURN NEW;
END
$$;

CREATE TRIGGER record_has_a_summary BEFORE INSERT ON record FOR EACH ROW EXECUTE FUNCTION has_a_summary();

CREATE FUNCTION is_open() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF EXISTS (
        SELECT FROM (SELECT DISTINCT tenant, counter FROM added) AS a
        WHERE NOT EXISTS (SELECT FROM summary AS s WHERE s.tenant = a.tenant AND s.counter = a.counter)
            OR EXISTS (SELECT FROM record AS r WHERE r.tenant = a.tenant AND r.counter = a.counter)
    ) THEN
        RAISE EXCEPTION 'the record is kept, with what it is found by' USING ERRCODE = 'integrity_constraint_violation';
    END IF;
    RETURN NULL;
END
$$;

CREATE TRIGGER rests_on_rule_is_open AFTER INSERT ON rests_on_rule REFERENCING NEW TABLE AS added
    FOR EACH STATEMENT EXECUTE FUNCTION is_open();
CREATE TRIGGER rests_on_clause_is_open AFTER INSERT ON rests_on_clause REFERENCING NEW TABLE AS added
    FOR EACH STATEMENT EXECUTE FUNCTION is_open();
CREATE TRIGGER has_level_is_open AFTER INSERT ON has_level REFERENCING NEW TABLE AS added
    FOR EACH STATEMENT EXECUTE FUNCTION is_open();

CREATE TRIGGER summary_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON summary FOR EACH STATEMENT EXECUTE FUNCTION stays_as_it_is();
CREATE TRIGGER rests_on_rule_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON rests_on_rule FOR EACH STATEMENT EXECUTE FUNCTION stays_as_it_is();
CREATE TRIGGER rests_on_clause_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON rests_on_clause
    FOR EACH STATEMENT EXECUTE FUNCTION stays_as_it_is();
CREATE TRIGGER has_level_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON has_level FOR EACH STATEMENT EXECUTE FUNCTION stays_as_it_is();

ALTER TABLE summary ENABLE ROW LEVEL SECURITY;
ALTER TABLE summary FORCE ROW LEVEL SECURITY;
CREATE POLICY of_one_tenant ON summary USING (tenant = current_setting('bondwright.tenant', true));
ALTER TABLE rests_on_rule ENABLE ROW LEVEL SECURITY;
ALTER TABLE rests_on_rule FORCE ROW LEVEL SECURITY;
CREATE POLICY of_one_tenant ON rests_on_rule USING (tenant = current_setting('bondwright.tenant', true));
ALTER TABLE rests_on_clause ENABLE ROW LEVEL SECURITY;
ALTER TABLE rests_on_clause FORCE ROW LEVEL SECURITY;
CREATE POLICY of_one_tenant ON rests_on_clause USING (tenant = current_setting('bondwright.tenant', true));
ALTER TABLE has_level ENABLE ROW LEVEL SECURITY;
ALTER TABLE has_level FORCE ROW LEVEL SECURITY;
CREATE POLICY of_one_tenant ON has_level USING (tenant = current_setting('bondwright.tenant', true));

GRANT SELECT, INSERT ON summary, rests_on_rule, rests_on_clause, has_level TO bondwright_application;
GRANT SELECT ON summary, rests_on_rule, rests_on_clause, has_level TO bondwright_reader;

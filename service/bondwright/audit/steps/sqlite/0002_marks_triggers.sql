-- Keeps the marks in step with the records, and as unchangeable; set once the tables are filled.

-- The summary comes before the record, so whoever does not know of marks cannot add a record; marks can be added to the last one only.

CREATE TRIGGER record_has_a_summary BEFORE INSERT ON record
WHEN NOT EXISTS (SELECT 1 FROM summary WHERE tenant = NEW.tenant AND counter = NEW.counter AND evaluation_id = NEW.evaluation_id
    AND recorded_at = NEW.recorded_at AND pack_id = NEW.pack_id)
BEGIN SELECT RAISE(ABORT, 'the record has no summary'); END;

CREATE TRIGGER summary_never_replaced BEFORE INSERT ON summary
WHEN EXISTS (SELECT 1 FROM summary WHERE tenant = NEW.tenant AND counter = NEW.counter)
BEGIN SELECT RAISE(ABORT, 'the record is kept, with its summary'); END;

CREATE TRIGGER rests_on_rule_is_closed BEFORE INSERT ON rests_on_rule
WHEN NEW.counter IS NOT (SELECT max(counter) FROM record WHERE tenant = NEW.tenant)
BEGIN SELECT RAISE(ABORT, 'the record is kept, with what it is found by'); END;

CREATE TRIGGER rests_on_clause_is_closed BEFORE INSERT ON rests_on_clause
WHEN NEW.counter IS NOT (SELECT max(counter) FROM record WHERE tenant = NEW.tenant)
BEGIN SELECT RAISE(ABORT, 'the record is kept, with what it is found by'); END;

CREATE TRIGGER has_level_is_closed BEFORE INSERT ON has_level
WHEN NEW.counter IS NOT (SELECT max(counter) FROM record WHERE tenant = NEW.tenant)
BEGIN SELECT RAISE(ABORT, 'the record is kept, with what it is found by'); END;

CREATE TRIGGER summary_never_update BEFORE update ON summary
BEGIN SELECT RAISE(ABORT, 'what is recorded stays as it is'); END;

CREATE TRIGGER summary_never_delete BEFORE delete ON summary
BEGIN SELECT RAISE(ABORT, 'what is recorded stays as it is'); END;

CREATE TRIGGER rests_on_rule_never_update BEFORE update ON rests_on_rule
BEGIN SELECT RAISE(ABORT, 'what is recorded stays as it is'); END;

CREATE TRIGGER rests_on_rule_never_delete BEFORE delete ON rests_on_rule
BEGIN SELECT RAISE(ABORT, 'what is recorded stays as it is'); END;

CREATE TRIGGER rests_on_clause_never_update BEFORE update ON rests_on_clause
BEGIN SELECT RAISE(ABORT, 'what is recorded stays as it is'); END;

CREATE TRIGGER rests_on_clause_never_delete BEFORE delete ON rests_on_clause
BEGIN SELECT RAISE(ABORT, 'what is recorded stays as it is'); END;

CREATE TRIGGER has_level_never_update BEFORE update ON has_level
BEGIN SELECT RAISE(ABORT, 'what is recorded stays as it is'); END;

CREATE TRIGGER has_level_never_delete BEFORE delete ON has_level
BEGIN SELECT RAISE(ABORT, 'what is recorded stays as it is'); END;

PRAGMA user_version = 2;

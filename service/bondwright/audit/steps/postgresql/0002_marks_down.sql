-- The records stay; what they are found by is worked out again from them.

DROP TRIGGER record_has_a_summary ON record;
DROP TABLE rests_on_rule;
DROP TABLE rests_on_clause;
DROP TABLE has_level;
DROP TABLE summary;
DROP FUNCTION has_a_summary();
DROP FUNCTION is_open();

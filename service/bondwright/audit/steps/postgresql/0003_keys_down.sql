-- The records stay. Every key is forgotten, and every request sent again is a new one.

DROP TABLE repeated_request;
DROP TABLE key;
DROP FUNCTION key_stays_what_it_is();

-- The records stay. Every key is forgotten, and every request sent again is a new one.

DROP TABLE repeated_request;
DROP TABLE key;
PRAGMA user_version = 2;

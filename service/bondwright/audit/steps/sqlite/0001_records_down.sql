-- Taken only where nothing is kept.

DROP TABLE record;

DROP TABLE pack;

PRAGMA application_id = 0;

PRAGMA user_version = 0;

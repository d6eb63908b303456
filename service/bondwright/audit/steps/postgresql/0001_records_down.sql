-- Taken only where nothing is kept. The roles stay: they are those of the whole server.

DROP TABLE record;
DROP TABLE pack;
DROP FUNCTION counter_follows();
DROP FUNCTION stays_as_it_is();

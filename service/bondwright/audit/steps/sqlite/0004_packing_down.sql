-- No answer is kept packed.

PRAGMA user_version = 3;

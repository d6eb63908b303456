-- Large answers are kept packed from here on; smaller ones, and all from before, as they are.

PRAGMA user_version = 4;

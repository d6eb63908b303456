"""The store of keys in the SQLite file that keeps the records."""

import sqlite3
import threading
from pathlib import Path
from typing import Any

from bondwright.audit.keys import SqlKeys
from bondwright.audit.sqlite.file import open_file
from bondwright.errors import RecordBroken


class SqliteKeyStore(SqlKeys):
    """A KeyStore in the file of records, which is made if it is not there. Raises, at opening: RecordBroken."""

    place = "?"

    def __init__(self, path: Path, patience_s: float = 5.0) -> None:
        """`patience_s`: how long a write waits, in seconds, for another process that is writing."""
        self._connection = open_file(path, patience_s)
        self._one_at_a_time = threading.Lock()

    def close(self) -> None:
        """See KeyStore."""
        with self._one_at_a_time:
            self._connection.close()

    def _run(self, sql: str, *values: object) -> list[Any]:
        try:
            with self._one_at_a_time:
                return self._connection.execute(sql, values).fetchall()
        except sqlite3.Error as error:
            raise RecordBroken(f"the keys cannot be used: {error}") from error

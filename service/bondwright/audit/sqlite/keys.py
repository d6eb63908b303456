"""The store of keys in the SQLite file that keeps the records."""

import sqlite3
import threading
from pathlib import Path
from typing import Any

from bondwright.access.keys import Key
from bondwright.audit.keys import COLUMNS, key_of, row_of
from bondwright.audit.sqlite.file import open_file
from bondwright.errors import RecordBroken, UnknownName

_SELECT = f"SELECT {', '.join(COLUMNS)} FROM key"


class SqliteKeyStore:
    """A KeyStore in the file of records, which is made if it is not there. Raises, at opening: RecordBroken."""

    def __init__(self, path: Path, patience_s: float = 5.0) -> None:
        """`patience_s`: how long a write waits, in seconds, for another process that is writing."""
        self._connection = open_file(path, patience_s)
        self._one_at_a_time = threading.Lock()

    def add(self, key: Key) -> None:
        """See KeyStore."""
        self._run(f"INSERT INTO key ({', '.join(COLUMNS)}) VALUES ({', '.join('?' * len(COLUMNS))})", *row_of(key))

    def get(self, key_id: str) -> Key:
        """See KeyStore."""
        rows = self._run(f"{_SELECT} WHERE key_id = ?", key_id)
        if not rows:
            raise UnknownName("key", key_id)
        return key_of(rows[0])

    def all_keys(self) -> tuple[Key, ...]:
        """See KeyStore."""
        return tuple(key_of(row) for row in self._run(f"{_SELECT} ORDER BY tenant, created_at, key_id"))

    def expire(self, key_id: str, at: str) -> None:
        """See KeyStore."""
        self.get(key_id)
        self._run("UPDATE key SET expires_at = ? WHERE key_id = ? AND coalesce(expires_at > ?, true)", at, key_id, at)

    def revoke(self, key_id: str, at: str) -> None:
        """See KeyStore."""
        self.get(key_id)
        self._run("UPDATE key SET revoked_at = ? WHERE key_id = ? AND revoked_at IS NULL", at, key_id)

    def used(self, key_id: str, at: str) -> None:
        """See KeyStore."""
        self._run("UPDATE key SET last_used_at = ? WHERE key_id = ? AND coalesce(last_used_at < ?, true)", at, key_id, at)

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

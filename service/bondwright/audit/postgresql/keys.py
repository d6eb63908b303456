"""The store of keys in the PostgreSQL database that keeps the records."""

from functools import partial
from typing import Any

import psycopg

from bondwright.access.keys import Key
from bondwright.audit.keys import COLUMNS, key_of, row_of
from bondwright.audit.postgresql.connection import connect, demand_latest_step, told
from bondwright.audit.postgresql.readers import Readers
from bondwright.errors import RecordBroken, UnknownName

_SELECT = f"SELECT {', '.join(COLUMNS)} FROM key"
_MOST = 2


class PostgresqlKeyStore:
    """A KeyStore in the database of records. The application reads keys and keeps when they were used; only the owner makes and ends them.

    Raises, at opening: RecordBroken, if the database cannot be reached or is not at our step.
    """

    def __init__(self, address: str, patience_s: float = 5.0) -> None:
        """`address`: as libpq takes it. `patience_s`: how long anything is waited for, in seconds."""
        try:
            with connect(address, patience_s) as connection:
                demand_latest_step(connection)
        except psycopg.Error as error:
            raise RecordBroken(f"the database cannot be used: {told(error)}") from error
        self._connections = Readers(partial(connect, address, patience_s), _MOST, patience_s)

    def add(self, key: Key) -> None:
        """See KeyStore."""
        self._run(f"INSERT INTO key ({', '.join(COLUMNS)}) VALUES ({', '.join(['%s'] * len(COLUMNS))})", *row_of(key))

    def get(self, key_id: str) -> Key:
        """See KeyStore."""
        rows = self._run(f"{_SELECT} WHERE key_id = %s", key_id)
        if not rows:
            raise UnknownName("key", key_id)
        return key_of(rows[0])

    def all_keys(self) -> tuple[Key, ...]:
        """See KeyStore."""
        return tuple(key_of(row) for row in self._run(f"{_SELECT} ORDER BY tenant, created_at, key_id"))

    def expire(self, key_id: str, at: str) -> None:
        """See KeyStore."""
        self.get(key_id)
        self._run("UPDATE key SET expires_at = %s WHERE key_id = %s AND coalesce(expires_at > %s, true)", at, key_id, at)

    def revoke(self, key_id: str, at: str) -> None:
        """See KeyStore."""
        self.get(key_id)
        self._run("UPDATE key SET revoked_at = %s WHERE key_id = %s AND revoked_at IS NULL", at, key_id)

    def used(self, key_id: str, at: str) -> None:
        """See KeyStore."""
        self._run("UPDATE key SET last_used_at = %s WHERE key_id = %s AND coalesce(last_used_at < %s, true)", at, key_id, at)

    def close(self) -> None:
        """See KeyStore."""
        self._connections.close()

    def _run(self, sql: str, *values: object) -> list[Any]:
        try:
            with self._connections.lent() as connection:
                cursor = connection.execute(sql, values)
                return cursor.fetchall() if cursor.description else []
        except psycopg.Error as error:
            raise RecordBroken(f"the keys cannot be used: {told(error)}") from error

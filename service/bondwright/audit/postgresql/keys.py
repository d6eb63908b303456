"""The store of keys in the PostgreSQL database that keeps the records."""

from functools import partial
from typing import Any

import psycopg

from bondwright.audit.keys import SqlKeys
from bondwright.audit.postgresql.connection import connect, demand_usable, told
from bondwright.audit.postgresql.readers import Readers
from bondwright.errors import RecordBroken

_MOST = 2


class PostgresqlKeyStore(SqlKeys):
    """A KeyStore in the database of records. The application reads keys and keeps when they were used; only the owner makes and ends them.

    Raises, at opening: RecordBroken, if the database cannot be reached or is not at our step.
    """

    place = "%s"

    def __init__(self, address: str, patience_s: float = 5.0) -> None:
        """`address`: as libpq takes it. `patience_s`: how long anything is waited for, in seconds."""
        demand_usable(address, patience_s)
        self._connections = Readers(partial(connect, address, patience_s), _MOST, patience_s)

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

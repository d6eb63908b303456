"""What is read of a PostgreSQL database of records, by the service or by whoever only reads."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from heapq import merge
from itertools import islice
from typing import Any

import psycopg

from bondwright.audit.looked_up import kept_marks
from bondwright.audit.marks import Marks
from bondwright.audit.postgresql.connection import Connection, connect, demand_usable, told
from bondwright.audit.postgresql.readers import Readers
from bondwright.audit.postgresql.repeated import answered
from bondwright.audit.record import NothingWritten, Once, PackRecord, Record, Search, Summary
from bondwright.audit.rows.records import SELECT, SELECT_PACK, pack_of, record_of
from bondwright.audit.search import POSTGRESQL, packs_to_ask, query
from bondwright.errors import RecordBroken, UnknownName

_READERS = 4
_ANYBODYS = "local"


class PostgresqlReader:
    """The reading half of a RecordStore, over a few connections that can change nothing."""

    def __init__(self, address: str, patience_s: float) -> None:
        self._readers = Readers(partial(open_reader, address, patience_s), _READERS, patience_s)

    def get(self, tenant: str, evaluation_id: str) -> Record:
        """See RecordStore."""
        rows = self._rows(tenant, f"{SELECT} WHERE tenant = %s AND evaluation_id = %s", tenant, evaluation_id)
        if not rows:
            raise UnknownName("evaluation", evaluation_id)
        return record_of(rows[0])

    def answered(self, tenant: str, once: Once) -> Record | None:
        """See RecordStore."""
        with self._reading(tenant) as connection:
            return answered(connection, tenant, [once]).get(once.idempotency_key)

    def page(self, tenant: str, after: int | None, limit: int) -> tuple[Record, ...]:
        """See RecordStore."""
        rows = self._rows(tenant, f"{SELECT} WHERE tenant = %s AND counter > %s ORDER BY counter LIMIT %s", tenant, after or 0, limit)
        return tuple(record_of(row) for row in rows)

    def find(self, tenant: str, wanted: Search, after: int | None, limit: int) -> tuple[Summary, ...]:
        """See RecordStore."""
        with self._snapshot(tenant) as rows:
            queries = [query(tenant, wanted, pack_id, after or 0, limit, POSTGRESQL) for pack_id in packs_to_ask(rows, wanted, POSTGRESQL)]
            found = [[Summary(*row) for row in rows(sql, *values)] for sql, values in queries]
        return tuple(islice(merge(*found, key=lambda summary: summary.counter), limit))

    def marks(self, tenant: str, counter: int) -> Marks:
        """See RecordStore."""
        with self._snapshot(tenant) as rows:
            return kept_marks(lambda sql, *values: rows(sql.replace("?", "%s"), *values), tenant, counter)

    def pack(self, pack_id_or_digest: str) -> PackRecord:
        """See RecordStore."""
        rows = self._rows("", f"{SELECT_PACK} WHERE pack_id = %s OR digest = %s", pack_id_or_digest, pack_id_or_digest)
        return pack_of(rows, pack_id_or_digest)

    def count(self, tenant: str) -> int:
        """See RecordStore."""
        [(count,)] = self._rows(tenant, "SELECT count(*) FROM record WHERE tenant = %s", tenant)
        return int(count)

    def tenants(self) -> tuple[str, ...]:
        """See RecordStore: those who have keys, and the one who needs none. The walls show nobody whose records there are.

        Raises: RecordBroken, also if this user may not read of keys.
        """
        try:
            with self._reading("") as connection:
                found = connection.execute("SELECT DISTINCT tenant FROM key").fetchall()
        except RecordBroken as error:
            if isinstance(error.__cause__, psycopg.errors.InsufficientPrivilege):
                raise RecordBroken("this user may not read who has keys; the owner may, and the service's user") from error
            raise
        return tuple(sorted({_ANYBODYS, *(tenant for (tenant,) in found)}))

    def close(self) -> None:
        """See RecordStore."""
        self._readers.close()

    def _rows(self, tenant: str, sql: str, *values: object) -> list[Any]:
        with self._snapshot(tenant) as rows:
            return rows(sql, *values)

    @contextmanager
    def _snapshot(self, tenant: str) -> Iterator[Callable[..., list[Any]]]:
        """What answers queries with their rows, all of them as of one moment, of one tenant."""
        with self._reading(tenant) as connection:
            yield lambda sql, *values: _answered(connection, sql, values)

    @contextmanager
    def _reading(self, tenant: str) -> Iterator[Connection]:
        try:
            with self._readers.lent() as connection, connection.transaction():
                connection.execute("SELECT set_config('bondwright.tenant', %s, true)", (tenant,))
                yield connection
        except psycopg.Error as error:
            raise RecordBroken(f"the database cannot be read: {told(error)}") from error


class PostgresqlEvidence(NothingWritten, PostgresqlReader):
    """A RecordStore for whoever may only read, such as a member of bondwright_reader.

    Raises, at opening: RecordBroken, if the database cannot be reached or is not at our step.
    """

    def __init__(self, address: str, patience_s: float = 5.0) -> None:
        """See PostgresqlRecordStore."""
        demand_usable(address, patience_s)
        super().__init__(address, patience_s)


def open_reader(address: str, patience_s: float) -> Connection:
    """A connection that can change nothing and sees one moment in each transaction."""
    connection = connect(address, patience_s, "default_transaction_read_only=on", "default_transaction_isolation=repeatable\\ read")
    connection.silence_s = patience_s
    return connection


def _answered(connection: Connection, sql: str, values: Sequence[object]) -> list[Any]:
    try:
        return connection.execute(sql, values).fetchall()
    except (psycopg.DataError, UnicodeEncodeError):
        # A text that no database could hold, so nothing is kept under it.
        return []

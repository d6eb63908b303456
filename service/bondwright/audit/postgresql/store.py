"""The store of records in a PostgreSQL database, for many processes on many machines."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from heapq import merge
from itertools import islice
from typing import Any

import psycopg

from bondwright.audit.additions import Addition, Trial
from bondwright.audit.looked_up import kept_marks
from bondwright.audit.marks import Marks, Told
from bondwright.audit.postgresql.batches import PostgresqlBatches
from bondwright.audit.postgresql.connection import Connection, connect, demand_fit, told
from bondwright.audit.postgresql.readers import Readers
from bondwright.audit.postgresql.repeated import answered
from bondwright.audit.record import NewRecord, Once, PackRecord, Record, Search, Summary, demand_digest, marks_for
from bondwright.audit.rows import SELECT, record_of
from bondwright.audit.search import POSTGRESQL, packs_to_ask, query
from bondwright.audit.writer import GroupWriter, Writing
from bondwright.errors import RecordBroken, UnknownName

_READERS = 4


class PostgresqlRecordStore:
    """A RecordStore in a PostgreSQL database: one writing thread with group commit, a few connections that read.

    Several processes may share the database. When it is gone, everyone is refused until it is back; nothing has to be started anew.
    Raises, at opening: RecordBroken, if it cannot be reached, is not at our step, would not be durable, or allows us too much.
    """

    def __init__(self, address: str, patience_s: float = 5.0) -> None:
        """`address`: as libpq takes it; no error repeats it. `patience_s`: how long anything is waited for, in seconds."""
        self._packs: dict[str, tuple[str, bytes]] = {}
        try:
            batches = PostgresqlBatches(partial(_open_fit, address, patience_s))
        except psycopg.Error as error:
            raise RecordBroken(f"the database cannot be used: {told(error)}") from error
        self._batches = batches
        self._writer: GroupWriter[Addition | Trial, Any] = GroupWriter(batches)
        self._readers = Readers(partial(_open_reader, address, patience_s), _READERS, patience_s)

    @property
    def writing(self) -> Writing:
        """See RecordStore."""
        return self._writer.writing

    def append(self, record: NewRecord, pack_text: bytes, once: Once | None = None, told: Told | None = None) -> Record:
        """See RecordStore."""
        return self._remembered(self._writer.submit(self._addition(record, pack_text, once, told)).result(), record, pack_text)

    async def append_soon(self, record: NewRecord, pack_text: bytes, once: Once | None = None, told: Told | None = None) -> Record:
        """See RecordStore."""
        return self._remembered(await self._writer.submitted(self._addition(record, pack_text, once, told)), record, pack_text)

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
        select = "SELECT pack_id, digest, text, first_used_at FROM pack WHERE pack_id = %s OR digest = %s"
        rows = self._rows("", select, pack_id_or_digest, pack_id_or_digest)
        if not rows:
            raise UnknownName("rule pack", pack_id_or_digest)
        pack = PackRecord(*rows[0])
        demand_digest(f"rule pack {pack.pack_id}", pack.text, pack.digest)
        return pack

    def check(self) -> None:
        """See RecordStore."""
        self._writer.submit(Trial()).result()

    def close(self) -> None:
        """See RecordStore."""
        self._writer.close()
        self._batches.close()
        self._readers.close()

    def _addition(self, record: NewRecord, pack_text: bytes, once: Once | None, told: Told | None) -> Addition:
        marks = marks_for(record, told)
        # A pack is some 200 kB and the same object from request to request: it is hashed and looked up until it is known to be kept.
        if self._packs.get(record.pack_id) == (record.pack_digest, pack_text):
            return Addition(record, marks, None, once)
        demand_digest(f"rule pack {record.pack_id}", pack_text, record.pack_digest)
        return Addition(record, marks, pack_text, once)

    def _remembered(self, kept: Record, record: NewRecord, pack_text: bytes) -> Record:
        if kept.evaluation_id == record.evaluation_id:
            self._packs[kept.pack_id] = (kept.pack_digest, pack_text)
        return kept

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


def _open_reader(address: str, patience_s: float) -> Connection:
    """A connection that can change nothing and sees one moment in each transaction."""
    connection = connect(address, patience_s, "default_transaction_read_only=on", "default_transaction_isolation=repeatable\\ read")
    connection.silence_s = patience_s
    return connection


def _open_fit(address: str, patience_s: float) -> Connection:
    connection = connect(address, patience_s)
    # Longer than the server waits for another who is writing, for then it says so itself.
    connection.silence_s = 2 * patience_s
    try:
        demand_fit(connection)
    except BaseException:
        connection.close()
        raise
    return connection


def _answered(connection: Connection, sql: str, values: Sequence[object]) -> list[Any]:
    try:
        return connection.execute(sql, values).fetchall()
    except (psycopg.DataError, UnicodeEncodeError):
        # A text that no database could hold, so nothing is kept under it.
        return []

"""The store of records in one SQLite file, for a single machine."""

import asyncio
import sqlite3
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from heapq import merge
from itertools import islice
from pathlib import Path
from typing import Any

from bondwright.audit.looked_up import kept_marks
from bondwright.audit.marks import Marks, marks_of
from bondwright.audit.record import NewRecord, Once, PackRecord, Record, Search, Summary, demand_digest
from bondwright.audit.rows import COLUMNS, SELECT, record_of, row_of
from bondwright.audit.search import packs_to_ask, query
from bondwright.audit.sqlite.file import SCHEMA_VERSION, open_file
from bondwright.audit.sqlite.index import keep_marks, keep_summary
from bondwright.audit.sqlite.transactions import Job, SqliteBatches, Transaction
from bondwright.audit.writer import GroupWriter, Writing
from bondwright.errors import RecordBroken, SentBefore, UnknownName

_INSERT = f"INSERT INTO record ({', '.join(COLUMNS)}) VALUES ({', '.join('?' * len(COLUMNS))})"


class SqliteRecordStore:
    """A RecordStore in one file: write-ahead log, synced at each commit, one writing thread with group commit.

    Several processes may share the file. Opening makes it, with private permissions, if it is not there.
    Raises, at opening: RecordBroken, if the file is not ours or cannot be kept durable.
    """

    def __init__(self, path: Path, patience_s: float = 5.0) -> None:
        """`patience_s`: how long a write waits, in seconds, for another process that is writing."""
        self._packs: dict[str, tuple[str, bytes]] = {}
        self._to_write = open_file(path, patience_s)
        self._to_read = open_file(path, patience_s)
        self._to_read.execute("PRAGMA query_only = ON")
        self._one_reader = threading.Lock()
        self._writer: GroupWriter[Job[Any], Any] = GroupWriter(SqliteBatches(self._to_write))

    @property
    def writing(self) -> Writing:
        """See RecordStore."""
        return self._writer.writing

    def append(self, record: NewRecord, pack_text: bytes, once: Once | None = None) -> Record:
        """See RecordStore."""
        return self._remembered(self._hand_over(record, pack_text, once).result(), record, pack_text)

    async def append_soon(self, record: NewRecord, pack_text: bytes, once: Once | None = None) -> Record:
        """See RecordStore."""
        return self._remembered(await asyncio.wrap_future(self._hand_over(record, pack_text, once)), record, pack_text)

    def get(self, tenant: str, evaluation_id: str) -> Record:
        """See RecordStore."""
        rows = self._rows(f"{SELECT} WHERE tenant = ? AND evaluation_id = ?", tenant, evaluation_id)
        if not rows:
            raise UnknownName("evaluation", evaluation_id)
        return record_of(rows[0])

    def answered(self, tenant: str, once: Once) -> Record | None:
        """See RecordStore."""
        with self._snapshot() as rows:
            return _answered(rows, tenant, once)

    def page(self, tenant: str, after: int | None, limit: int) -> tuple[Record, ...]:
        """See RecordStore."""
        rows = self._rows(f"{SELECT} WHERE tenant = ? AND counter > ? ORDER BY counter LIMIT ?", tenant, after or 0, limit)
        return tuple(record_of(row) for row in rows)

    def find(self, tenant: str, wanted: Search, after: int | None, limit: int) -> tuple[Summary, ...]:
        """See RecordStore."""
        with self._snapshot() as rows:
            queries = [query(tenant, wanted, pack_id, after or 0, limit) for pack_id in packs_to_ask(rows, wanted)]
            found = [[Summary(*row) for row in rows(sql, *values)] for sql, values in queries]
        return tuple(islice(merge(*found, key=lambda summary: summary.counter), limit))

    def marks(self, tenant: str, counter: int) -> Marks:
        """See RecordStore."""
        with self._snapshot() as rows:
            return kept_marks(rows, tenant, counter)

    def pack(self, pack_id_or_digest: str) -> PackRecord:
        """See RecordStore."""
        query = "SELECT pack_id, digest, text, first_used_at FROM pack WHERE pack_id = ? OR digest = ?"
        rows = self._rows(query, pack_id_or_digest, pack_id_or_digest)
        if not rows:
            raise UnknownName("rule pack", pack_id_or_digest)
        pack = PackRecord(*rows[0])
        demand_digest(f"rule pack {pack.pack_id}", pack.text, pack.digest)
        return pack

    def check(self) -> None:
        """See RecordStore."""
        self._writer.submit(_write_no_row).result()

    def close(self) -> None:
        """See RecordStore."""
        self._writer.close()
        self._to_write.close()
        with self._one_reader:
            self._to_read.close()

    def _remembered(self, kept: Record, record: NewRecord, pack_text: bytes) -> Record:
        if kept.evaluation_id == record.evaluation_id:
            self._packs[kept.pack_id] = (kept.pack_digest, pack_text)
        return kept

    def _hand_over(self, record: NewRecord, pack_text: bytes, once: Once | None) -> Future[Record]:
        demand_digest(f"evaluation {record.evaluation_id}", record.evaluation_bytes, record.evaluation_digest)
        marks = marks_of(record.evaluation_bytes)
        # A pack is some 200 kB and the same object from request to request: it is hashed and looked up until it is known to be kept.
        if self._packs.get(record.pack_id) == (record.pack_digest, pack_text):
            return self._writer.submit(lambda transaction: _append(transaction, record, marks, once))
        demand_digest(f"rule pack {record.pack_id}", pack_text, record.pack_digest)
        return self._writer.submit(lambda transaction: _append(transaction, record, marks, once, pack_text))

    def _rows(self, sql: str, *values: object) -> list[Any]:
        with self._snapshot() as rows:
            return rows(sql, *values)

    @contextmanager
    def _snapshot(self) -> Iterator[Callable[..., list[Any]]]:
        """What answers queries with their rows, all of them as of one moment."""
        try:
            with self._one_reader:
                self._to_read.execute("BEGIN")
                try:
                    yield lambda sql, *values: self._to_read.execute(sql, values).fetchall()
                finally:
                    self._to_read.execute("COMMIT")
        except sqlite3.Error as error:
            raise RecordBroken(f"the record file cannot be read: {error}") from error


def _append(transaction: Transaction, record: NewRecord, marks: Marks, once: Once | None, pack_text: bytes | None = None) -> Record:
    if once and (first := _answered(lambda sql, *values: transaction.connection.execute(sql, values).fetchall(), record.tenant, once)):
        return first
    kept = record.numbered(_last_counter(transaction, record.tenant) + 1)
    # Without the savepoint a refused record would leave behind its summary, and the pack that it was the first to cite.
    transaction.connection.execute("SAVEPOINT one_record")
    try:
        if pack_text is not None:
            _keep_pack(transaction.connection, record, pack_text)
        keep_summary(transaction.connection, record, kept.counter, marks)
        transaction.connection.execute(_INSERT, row_of(kept))
        if once:
            row = (record.tenant, once.idempotency_key, once.request_digest, kept.counter)
            transaction.connection.execute("INSERT INTO repeated_request VALUES (?, ?, ?, ?)", row)
    except Exception:
        if transaction.connection.in_transaction:
            transaction.connection.execute("ROLLBACK TO one_record")
            transaction.connection.execute("RELEASE one_record")
        raise
    transaction.connection.execute("RELEASE one_record")
    try:
        # Outside the savepoint, which would copy every page that they touch: nothing is left that could refuse them.
        keep_marks(transaction.connection, kept.tenant, kept.counter, marks)
    except Exception:
        # So whatever does is a fault of the database, and nothing of this transaction is kept.
        if transaction.connection.in_transaction:
            transaction.connection.execute("ROLLBACK")
        raise
    transaction.counters[kept.tenant] = kept.counter
    return kept


def _answered(rows: Callable[..., list[Any]], tenant: str, once: Once) -> Record | None:
    select = "SELECT request_digest, counter FROM repeated_request WHERE tenant = ? AND idempotency_key = ?"
    if not (found := rows(select, tenant, once.idempotency_key)):
        return None
    if found[0][0] != once.request_digest:
        raise SentBefore("this idempotency key came before with another request")
    return record_of(rows(f"{SELECT} WHERE tenant = ? AND counter = ?", tenant, found[0][1])[0])


def _last_counter(transaction: Transaction, tenant: str) -> int:
    if tenant not in transaction.counters:
        query = "SELECT coalesce(max(counter), 0) FROM record WHERE tenant = ?"
        (transaction.counters[tenant],) = transaction.connection.execute(query, (tenant,)).fetchone()
    return transaction.counters[tenant]


def _keep_pack(connection: sqlite3.Connection, record: NewRecord, text: bytes) -> None:
    found = connection.execute("SELECT digest FROM pack WHERE pack_id = ?", (record.pack_id,)).fetchone()
    if not found:
        row = (record.pack_id, record.pack_digest, text, record.recorded_at)
        connection.execute("INSERT INTO pack (pack_id, digest, text, first_used_at) VALUES (?, ?, ?, ?)", row)
    elif found[0] != record.pack_digest:
        raise RecordBroken(f"not recorded: rule pack {record.pack_id} already stands for other bytes")


def _write_no_row(transaction: Transaction) -> None:
    # Setting the version to itself rewrites the first page, so the commit goes through the log and the sync like any other.
    transaction.connection.execute(f"PRAGMA user_version = {SCHEMA_VERSION}")

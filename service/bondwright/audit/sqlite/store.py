"""The store of records in one SQLite file, for a single machine."""

import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from heapq import merge
from itertools import islice
from pathlib import Path
from typing import Any

from bondwright.audit.additions import Addition, Trial
from bondwright.audit.looked_up import kept_marks
from bondwright.audit.marks import Marks, Told
from bondwright.audit.record import NewRecord, Once, PackRecord, Record, Search, Summary, demand_digest, marks_for
from bondwright.audit.rows import SELECT, record_of
from bondwright.audit.search import packs_to_ask, query
from bondwright.audit.sqlite.batches import RecordBatches, answered
from bondwright.audit.sqlite.file import open_file
from bondwright.audit.writer import GroupWriter, Writing
from bondwright.errors import RecordBroken, UnknownName


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
        self._writer: GroupWriter[Addition | Trial, Any] = GroupWriter(RecordBatches(self._to_write))

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
        rows = self._rows(f"{SELECT} WHERE tenant = ? AND evaluation_id = ?", tenant, evaluation_id)
        if not rows:
            raise UnknownName("evaluation", evaluation_id)
        return record_of(rows[0])

    def answered(self, tenant: str, once: Once) -> Record | None:
        """See RecordStore."""
        with self._snapshot():
            return answered(self._to_read, tenant, once)

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
        self._writer.submit(Trial()).result()

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

    def _addition(self, record: NewRecord, pack_text: bytes, once: Once | None, told: Told | None) -> Addition:
        marks = marks_for(record, told)
        # A pack is some 200 kB and the same object from request to request: it is hashed and looked up until it is known to be kept.
        if self._packs.get(record.pack_id) == (record.pack_digest, pack_text):
            return Addition(record, marks, None, once)
        demand_digest(f"rule pack {record.pack_id}", pack_text, record.pack_digest)
        return Addition(record, marks, pack_text, once)

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

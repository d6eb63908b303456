"""What is read of a SQLite file of records, whoever opened the connection and how."""

import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from heapq import merge
from itertools import islice
from typing import Any

from bondwright.audit.looked_up import kept_marks
from bondwright.audit.marks import Marks
from bondwright.audit.record import Once, PackRecord, Record, Search, Summary
from bondwright.audit.rows.records import SELECT, SELECT_PACK, pack_of, record_of
from bondwright.audit.search import packs_to_ask, query
from bondwright.audit.sqlite.batches import answered
from bondwright.errors import RecordBroken, UnknownName

_TENANTS = "SELECT tenant FROM record UNION SELECT tenant FROM summary UNION SELECT tenant FROM key ORDER BY tenant"


class SqliteReader:
    """The reading half of a RecordStore, over one connection that changes nothing."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._to_read = connection
        self._one_reader = threading.Lock()

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
        rows = self._rows(f"{SELECT_PACK} WHERE pack_id = ? OR digest = ?", pack_id_or_digest, pack_id_or_digest)
        return pack_of(rows, pack_id_or_digest)

    def count(self, tenant: str) -> int:
        """See RecordStore."""
        [(count,)] = self._rows("SELECT count(*) FROM record WHERE tenant = ?", tenant)
        return int(count)

    def tenants(self) -> tuple[str, ...]:
        """See RecordStore."""
        return tuple(tenant for (tenant,) in self._rows(_TENANTS))

    def close(self) -> None:
        """See RecordStore."""
        with self._one_reader:
            self._to_read.close()

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

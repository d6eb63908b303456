"""Group commit when the database itself fails: nobody is left waiting, nothing half done is carried on."""

import sqlite3
import threading
from collections.abc import Iterator
from typing import TypeAlias

import pytest

from bondwright.audit.sqlite.transactions import Job, SqliteBatches, Transaction
from bondwright.audit.writer import GroupWriter
from bondwright.errors import RecordBroken

PATIENCE_S = 60
Writer: TypeAlias = GroupWriter[Job[int], int]


@pytest.fixture
def writer() -> Iterator[Writer]:
    """A writer on a database in memory with one table `t` of one column."""
    connection = sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)
    connection.execute("CREATE TABLE t (x)")
    opened: Writer = GroupWriter(SqliteBatches(connection))
    yield opened
    opened.close()
    connection.close()


def test_a_fault_is_told_to_those_who_came_while_it_was_found(writer: Writer) -> None:
    began, others_came = threading.Event(), threading.Event()

    def fail_late(_: Transaction) -> int:
        began.set()
        others_came.wait(PATIENCE_S)
        raise sqlite3.OperationalError("disk I/O error")

    waiting = [writer.submit(fail_late)]
    began.wait(PATIENCE_S)
    waiting += [writer.submit(_rows) for _ in range(5)]
    others_came.set()

    assert [type(future.exception(PATIENCE_S)) for future in waiting] == [RecordBroken] * 6


def test_a_full_database_is_written_again_when_there_is_room(writer: Writer) -> None:
    full = writer.submit(lambda transaction: _write(transaction, size=1_000_000, pages=10)).exception(PATIENCE_S)

    written = writer.submit(lambda transaction: _write(transaction, size=1_000_000, pages=1_000)).result(PATIENCE_S)

    assert ("full" in str(full), written) == (True, 1)


def test_a_transaction_given_up_leaves_nothing_behind(writer: Writer) -> None:
    def write_and_find_it_busy(transaction: Transaction) -> int:
        _write(transaction, size=1, pages=1_000)
        error = sqlite3.OperationalError("database is locked")
        error.sqlite_errorcode = sqlite3.SQLITE_BUSY
        raise error

    given_up = writer.submit(write_and_find_it_busy).exception(PATIENCE_S)

    assert (type(given_up), writer.submit(_rows).result(PATIENCE_S)) == (RecordBroken, 0)


def _write(transaction: Transaction, size: int, pages: int) -> int:
    transaction.connection.execute(f"PRAGMA max_page_count = {pages}")
    transaction.connection.execute("INSERT INTO t VALUES (zeroblob(?))", (size,))
    return _rows(transaction)


def _rows(transaction: Transaction) -> int:
    (rows,) = transaction.connection.execute("SELECT count(*) FROM t").fetchone()
    return int(rows)

"""Jobs written to a SQLite connection, many to a transaction."""

import contextlib
import sqlite3
from collections.abc import Callable, Sequence
from typing import Generic, TypeAlias, TypeVar

from msgspec import Struct

from bondwright.errors import BondwrightError, RecordBroken

T = TypeVar("T")

# A write that a limit on files or a quota refuses is no "full" to SQLite. Unlike after a failed sync, what was synced before still is.
_NO_ROOM = (sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR_WRITE, sqlite3.SQLITE_IOERR_SHMSIZE)


class Transaction(Struct, frozen=True):
    """An open transaction; `counters` holds the last counter of each tenant met in it, which nobody else can move meanwhile."""

    connection: sqlite3.Connection
    counters: dict[str, int]


Job: TypeAlias = Callable[[Transaction], T]
"""Work in an open transaction. If it raises, it must have taken back what it had done."""


class SqliteBatches(Generic[T]):
    """Batches on one connection, which nobody else writes with."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection

    def write(self, jobs: Sequence[Job[T]], _late: object = None, /) -> list[T | BondwrightError]:
        """See Batches. Raises: sqlite3.Error."""
        try:
            self._connection.execute("BEGIN IMMEDIATE")
            transaction = Transaction(self._connection, {})
            outcomes = [_outcome(job, transaction) for job in jobs]
            self._connection.execute("COMMIT")
        except Exception:
            with contextlib.suppress(sqlite3.Error):
                self._connection.execute("ROLLBACK")
            raise
        return outcomes

    def may_go_on(self, error: Exception, /) -> bool:
        """See Batches: only where nothing was written and the next transaction may well succeed: the database was busy, or had no room."""
        # The low byte is the kind of fault; the rest of the code details it.
        is_busy = isinstance(error, sqlite3.Error) and getattr(error, "sqlite_errorcode", 0) & 0xFF == sqlite3.SQLITE_BUSY
        return is_busy or lacks_room(error)


def lacks_room(error: Exception) -> bool:
    """Whether the file could not be written to, or not made larger."""
    return isinstance(error, sqlite3.Error) and getattr(error, "sqlite_errorcode", 0) in _NO_ROOM


def _outcome(job: Job[T], transaction: Transaction) -> T | BondwrightError:
    try:
        return job(transaction)
    except Exception as error:
        # Some faults of the database roll the whole transaction back: then nothing of it may be carried on.
        if not _fails_alone(error) or not transaction.connection.in_transaction:
            raise
        return error if isinstance(error, BondwrightError) else RecordBroken(f"not recorded: {error}")


def _fails_alone(error: Exception) -> bool:
    """Whether the fault lies in what was to be written, not in the database."""
    return not isinstance(error, sqlite3.Error) or isinstance(error, sqlite3.IntegrityError | sqlite3.DataError | sqlite3.ProgrammingError)

"""Group commit: one thread writes everything that waits in one transaction, without lingering for more."""

import contextlib
import sqlite3
import threading
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from bondwright.errors import RecordBroken

T = TypeVar("T")

# Nothing was written and the next transaction may well succeed; after any other fault only a fresh opening tells what is kept.
_PASSING = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_FULL)


@dataclass(frozen=True, slots=True)
class Transaction:
    """An open transaction; `counters` holds the last counter of each tenant met in it, which nobody else can move meanwhile."""

    connection: sqlite3.Connection
    counters: dict[str, int]


class GroupWriter:
    """Runs jobs on one connection, many to a transaction, and answers each only after its commit.

    A job that raises must have taken back its own work; it fails alone. When the database itself fails, every waiter is told so;
    unless it was only busy or full, so is everyone who comes later.
    """

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._connection = connection
        self._bell = threading.Condition()
        self._waiting: list[_Waiter[Any]] = []
        self._refusal = ""
        self._commits = 0
        self._thread = threading.Thread(target=self._serve, name="record-writer", daemon=True)
        self._thread.start()

    @property
    def commits(self) -> int:
        """How many transactions were committed so far."""
        return self._commits

    def submit(self, job: Callable[[Transaction], T]) -> "Future[T]":
        """What `job` gives, once its work is durable; the future raises RecordBroken if it is not.

        Raises: RecordBroken, if nothing is taken any more.
        """
        waiter = _Waiter(job)
        with self._bell:
            if self._refusal:
                raise RecordBroken(self._refusal)
            self._waiting.append(waiter)
            self._bell.notify()
        return waiter.future

    def close(self) -> None:
        """Nothing, once every job handed over was answered; later ones are refused."""
        with self._bell:
            self._refusal = self._refusal or "the record store is closed"
            self._bell.notify()
        self._thread.join()

    def _serve(self) -> None:
        while batch := self._take():
            self._write([waiter for waiter in batch if waiter.is_wanted()])

    def _take(self) -> "list[_Waiter[Any]]":
        with self._bell:
            self._bell.wait_for(lambda: self._waiting or self._refusal)
            batch, self._waiting = self._waiting, []
        return batch

    def _write(self, batch: "list[_Waiter[Any]]") -> None:
        try:
            self._connection.execute("BEGIN IMMEDIATE")
            transaction = Transaction(self._connection, {})
            for waiter in batch:
                waiter.run(transaction)
            self._connection.execute("COMMIT")
        except Exception as error:
            self._fail(batch, error)
            return
        # INVARIANT: no future is given its result before COMMIT returned.
        self._commits += 1
        for waiter in batch:
            waiter.answer()

    def _fail(self, batch: "list[_Waiter[Any]]", error: Exception) -> None:
        with contextlib.suppress(sqlite3.Error):
            self._connection.execute("ROLLBACK")
        if not _is_passing(error):
            with self._bell:
                self._refusal = f"the record store stopped after a fault: {error}"
                late, self._waiting = self._waiting, []
            batch = batch + [waiter for waiter in late if waiter.is_wanted()]
        for waiter in batch:
            waiter.future.set_exception(RecordBroken(f"not recorded: {error}"))


class _Waiter(Generic[T]):
    """A job, the future of whoever waits for it, and its outcome until the commit."""

    def __init__(self, job: Callable[[Transaction], T]) -> None:
        self.future: Future[T] = Future()
        self._job = job
        self._result: list[T] = []
        self._fault: RecordBroken | None = None

    def is_wanted(self) -> bool:
        """Whether nobody cancelled it; from now on nobody can."""
        return self.future.set_running_or_notify_cancel()

    def run(self, transaction: Transaction) -> None:
        try:
            self._result.append(self._job(transaction))
        except Exception as error:
            # Some faults of the database roll the whole transaction back: then nothing of it may be carried on.
            if not _fails_alone(error) or not transaction.connection.in_transaction:
                raise
            self._fault = error if isinstance(error, RecordBroken) else RecordBroken(f"not recorded: {error}")

    def answer(self) -> None:
        if self._fault:
            self.future.set_exception(self._fault)
        else:
            self.future.set_result(self._result[0])


def _fails_alone(error: Exception) -> bool:
    """Whether the fault lies in what was to be written, not in the database."""
    return not isinstance(error, sqlite3.Error) or isinstance(error, sqlite3.IntegrityError | sqlite3.DataError | sqlite3.ProgrammingError)


def _is_passing(error: Exception) -> bool:
    # The low byte is the kind of fault; the rest of the code details it.
    return isinstance(error, sqlite3.Error) and getattr(error, "sqlite_errorcode", 0) & 0xFF in _PASSING

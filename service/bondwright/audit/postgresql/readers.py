"""The connections that read: a few, each lent to one reader at a time."""

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from psycopg.pq import TransactionStatus

from bondwright.audit.postgresql.connection import Connection
from bondwright.errors import RecordBroken


class Readers:
    """Opens a connection when none is free, `most` at most, and drops those that broke, so whoever reads is told at once."""

    def __init__(self, open_connection: Callable[[], Connection], most: int, patience_s: float) -> None:
        self._open, self._patience_s = open_connection, patience_s
        self._turns, self._lock = threading.Semaphore(most), threading.Lock()
        self._idle: list[Connection] = []
        self._closed = False

    @contextmanager
    def lent(self) -> Iterator[Connection]:
        """A connection, for as long as it is read from. Raises: psycopg.Error; RecordBroken, if all are busy or these are closed."""
        if not self._turns.acquire(timeout=self._patience_s):
            raise RecordBroken("the database cannot be read: too many others are reading")
        try:
            connection = self._idle_one() or self._open()
            try:
                yield connection
            finally:
                self._take_back(connection)
        finally:
            self._turns.release()

    def close(self) -> None:
        """Nothing, once no connection is open but those that are lent, which are closed when they come back."""
        with self._lock:
            self._closed = True
            while self._idle:
                self._idle.pop().close()

    def _idle_one(self) -> Connection | None:
        with self._lock:
            if self._closed:
                raise RecordBroken("the record store is closed")
            while self._idle:
                if (connection := self._idle.pop()).is_quiet():
                    return connection
                connection.close()
        return None

    def _take_back(self, connection: Connection) -> None:
        with self._lock:
            if self._closed or connection.info.transaction_status != TransactionStatus.IDLE:
                connection.close()
            else:
                self._idle.append(connection)

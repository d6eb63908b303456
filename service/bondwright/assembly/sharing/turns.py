"""Work done one piece at a time, tenants taking turns by what their work costs.

Whoever has spent least goes next, so a tenant that asks for much waits behind its own work, and hardly anybody else does.
"""

import asyncio
from collections import deque
from collections.abc import Callable
from concurrent.futures import Future
from contextvars import copy_context
from queue import SimpleQueue
from threading import Lock, Thread
from typing import Any, TypeVar

from msgspec import Struct

Done = TypeVar("Done")


class _Piece(Struct, frozen=True, eq=False):
    """One piece of work that waits."""

    tenant: str
    price: int
    work: Callable[[], Any]
    future: Future[Any]


class Turns:
    """One thread that does what it is given, whoever has spent least first. May be shared between threads and event loops."""

    def __init__(self, name: str) -> None:
        """`name`: of the thread, which starts with the first piece."""
        self._name = name
        self._lock = Lock()
        self._bell: SimpleQueue[bool] = SimpleQueue()  # one entry a piece that was added, True: go on
        self._waiting: dict[str, deque[_Piece]] = {}
        self._spent: dict[str, int] = {}
        self._level = 0  # INVARIANT: what the tenant served last had spent before; nobody who comes anew has spent less
        self._thread: Thread | None = None
        self._closed = False

    async def done(self, tenant: str, price: int, work: Callable[[], Done]) -> Done:
        """What `work` gives once it was its turn. Cancelled meanwhile, it leaves the queue.

        Raises: what `work` raises.
        """
        piece = _Piece(tenant, price, _in_context(work), Future())
        self._add(piece)
        try:
            done: Done = await asyncio.wrap_future(piece.future)
        except asyncio.CancelledError:
            self._drop(piece)
            raise
        return done

    @property
    def waiting(self) -> int:
        """How many pieces wait now."""
        return sum(map(len, tuple(self._waiting.values())))

    def close(self) -> None:
        """Nothing, once the piece that is being done is done; those that wait are cancelled."""
        with self._lock:
            self._closed = True
            waiting = [piece for pieces in self._waiting.values() for piece in pieces]
            self._waiting.clear()
        for piece in waiting:
            piece.future.cancel()
        self._bell.put(False)
        if self._thread is not None:
            self._thread.join()

    def _add(self, piece: _Piece) -> None:
        with self._lock:
            if self._closed:
                raise RuntimeError(f"{self._name}: closed")
            pieces = self._waiting.setdefault(piece.tenant, deque())
            if not pieces:
                self._spent[piece.tenant] = max(self._spent.get(piece.tenant, 0), self._level)
            pieces.append(piece)
            if self._thread is None:
                self._thread = Thread(target=self._go_on, name=self._name, daemon=True)
                self._thread.start()
        self._bell.put(True)

    def _drop(self, piece: _Piece) -> None:
        with self._lock:
            pieces = self._waiting.get(piece.tenant, ())
            if isinstance(pieces, deque) and piece in pieces:
                pieces.remove(piece)
                if not pieces:
                    del self._waiting[piece.tenant]

    def _go_on(self) -> None:
        while self._bell.get():
            if (piece := self._next()) is not None and piece.future.set_running_or_notify_cancel():
                _do(piece)
            del piece  # what it gave may be large

    def _next(self) -> _Piece | None:
        """The piece whose turn it is; none, if the one that rang was dropped."""
        with self._lock:
            if not self._waiting:
                return None
            tenant = min(self._waiting, key=self._spent.__getitem__)
            pieces = self._waiting[tenant]
            piece = pieces.popleft()
            self._level = self._spent[tenant]
            self._spent[tenant] += piece.price
            if not pieces:
                del self._waiting[tenant]
            if not self._waiting:
                # Nobody else waits: who spent most so far is forgotten with all others, but for the one that is served.
                self._spent = {tenant: self._spent[tenant]}
            return piece


def _do(piece: _Piece) -> None:
    try:
        done = piece.work()
    except BaseException as error:
        piece.future.set_exception(error)
    else:
        piece.future.set_result(done)


def _in_context(work: Callable[[], Done]) -> Callable[[], Done]:
    context = copy_context()
    return lambda: context.run(work)

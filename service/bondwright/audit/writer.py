"""Group commit: one thread writes everything that waits in one transaction, without lingering for more."""

import asyncio
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import Future
from contextlib import suppress
from typing import Generic, Protocol, TypeAlias, TypeVar

from msgspec import Struct

from bondwright.errors import BondwrightError, RecordBroken

Job = TypeVar("Job")
Kept = TypeVar("Kept")
JobIn = TypeVar("JobIn", contravariant=True)
KeptOut = TypeVar("KeptOut", covariant=True)

Waiter: TypeAlias = Future[Kept] | asyncio.Future[Kept]
"""Where a job's outcome is told: in a thread, or in an event loop."""


class Batches(Protocol[JobIn, KeptOut]):
    """How a database takes many jobs at once."""

    def write(self, jobs: Sequence[JobIn], late: Callable[[], Sequence[JobIn]], /) -> Sequence[KeptOut | BondwrightError]:
        """The outcome of each job, once everything that was kept would survive a power cut; a job that is refused fails alone.

        `late`: takes what came since, whose outcomes then follow; for a database that had to wait for its turn.
        Raises: the database's own error, if nobody can say that anything was kept.
        """
        ...

    def may_go_on(self, error: Exception, /) -> bool:
        """Whether later jobs may be tried after `error`; if not, only a fresh opening tells what is kept."""
        ...


class Writing(Struct, frozen=True):
    """How the writing goes: jobs that wait, jobs that the database has answered so far, and transactions committed for them."""

    waiting: int
    answered: int
    commits: int


class GroupWriter(Generic[Job, Kept]):
    """Hands jobs to the database, many to a transaction, and answers each only after its commit.

    When the database itself fails, every waiter is told so; unless it may go on, so is everyone who comes later.
    """

    def __init__(self, batches: Batches[Job, Kept]) -> None:
        self._batches = batches
        self._bell = threading.Condition()
        self._waiting: list[tuple[Job, Waiter[Kept]]] = []
        self._refusal = ""
        self._answered = self._commits = 0
        self._thread = threading.Thread(target=self._serve, name="record-writer", daemon=True)
        self._thread.start()

    @property
    def writing(self) -> Writing:
        """How it goes now."""
        return Writing(len(self._waiting), self._answered, self._commits)

    def submit(self, job: Job) -> "Future[Kept]":
        """What becomes of `job`, once its work is durable; the future raises RecordBroken if it is not.

        Raises: RecordBroken, if nothing is taken any more.
        """
        future: Future[Kept] = Future()
        self._take_in(job, future)
        return future

    async def submitted(self, job: Job) -> Kept:
        """The same for an event loop, which is woken once for all of its jobs that were written together; raises as the future does.

        The work may still be done after whoever waits here was cancelled.
        """
        future: asyncio.Future[Kept] = asyncio.get_running_loop().create_future()
        self._take_in(job, future)
        return await future

    def close(self) -> None:
        """Nothing, once every job handed over was answered; later ones are refused."""
        with self._bell:
            self._refusal = self._refusal or "the record store is closed"
            self._bell.notify()
        self._thread.join()

    def _take_in(self, job: Job, waiter: "Waiter[Kept]") -> None:
        with self._bell:
            if self._refusal:
                raise RecordBroken(self._refusal)
            self._waiting.append((job, waiter))
            self._bell.notify()

    def _serve(self) -> None:
        while self._is_called():
            self._write(self._taken())

    def _is_called(self) -> bool:
        """Whether something waits, once it does; not, once nothing will any more."""
        with self._bell:
            self._bell.wait_for(lambda: self._waiting or self._refusal)
            return bool(self._waiting)

    def _taken(self) -> "list[tuple[Job, Waiter[Kept]]]":
        """All that waits, but for what nobody wants any more."""
        with self._bell:
            batch, self._waiting = self._waiting, []
        return [(job, waiter) for job, waiter in batch if _is_wanted(waiter)]

    def _write(self, batch: "list[tuple[Job, Waiter[Kept]]]") -> None:
        def late() -> list[Job]:
            came = self._taken()
            batch.extend(came)
            return [job for job, _ in came]

        try:
            outcomes = self._batches.write([job for job, _ in batch], late)
        except Exception as error:
            self._fail([waiter for _, waiter in batch], error)
            return
        # INVARIANT: no waiter is given its result before the commit returned.
        self._commits += 1
        self._answered += len(batch)
        _answer([(waiter, outcome) for (_, waiter), outcome in zip(batch, outcomes, strict=True)])

    def _fail(self, waiters: "list[Waiter[Kept]]", error: Exception) -> None:
        if not self._batches.may_go_on(error):
            with self._bell:
                self._refusal = f"the record store stopped after a fault: {error}"
                late, self._waiting = self._waiting, []
            waiters = waiters + [waiter for _, waiter in late if _is_wanted(waiter)]
        # Each its own: what is raised to one is no business of another.
        _answer([(waiter, RecordBroken(f"not recorded: {error}")) for waiter in waiters])


def _is_wanted(waiter: "Waiter[Kept]") -> bool:
    """Whether somebody still waits; from here on nobody can cancel the future of a thread."""
    return waiter.set_running_or_notify_cancel() if isinstance(waiter, Future) else not waiter.cancelled()


def _answer(answers: "Sequence[tuple[Waiter[Kept], Kept | BondwrightError]]") -> None:
    """Tells everyone what became of the job; an event loop once for all who wait in it, for each waking takes the interpreter."""
    on_loops: dict[asyncio.AbstractEventLoop, list[tuple[asyncio.Future[Kept], Kept | BondwrightError]]] = {}
    for waiter, outcome in answers:
        if isinstance(waiter, asyncio.Future):
            on_loops.setdefault(waiter.get_loop(), []).append((waiter, outcome))
        else:
            _set(waiter, outcome)
    for loop, some in on_loops.items():
        with suppress(RuntimeError):  # it is closed, so nobody waits there
            loop.call_soon_threadsafe(_set_all, some)


def _set_all(answers: "Sequence[tuple[asyncio.Future[Kept], Kept | BondwrightError]]") -> None:
    for future, outcome in answers:
        if not future.done():  # cancelled meanwhile
            _set(future, outcome)


def _set(waiter: "Waiter[Kept]", outcome: "Kept | BondwrightError") -> None:
    if isinstance(outcome, BondwrightError):
        waiter.set_exception(outcome)
    else:
        waiter.set_result(outcome)

"""Group commit: one thread writes everything that waits in one transaction, without lingering for more."""

import threading
from collections.abc import Sequence
from concurrent.futures import Future
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

from bondwright.errors import BondwrightError, RecordBroken

Job = TypeVar("Job")
Kept = TypeVar("Kept")
JobIn = TypeVar("JobIn", contravariant=True)
KeptOut = TypeVar("KeptOut", covariant=True)


class Batches(Protocol[JobIn, KeptOut]):
    """How a database takes many jobs at once."""

    def write(self, jobs: Sequence[JobIn]) -> Sequence[KeptOut | BondwrightError]:
        """The outcome of each job, once everything that was kept would survive a power cut; a job that is refused fails alone.

        Raises: the database's own error, if nobody can say that anything was kept.
        """
        ...

    def may_go_on(self, error: Exception, /) -> bool:
        """Whether later jobs may be tried after `error`; if not, only a fresh opening tells what is kept."""
        ...


@dataclass(frozen=True, slots=True)
class Writing:
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
        self._waiting: list[tuple[Job, Future[Kept]]] = []
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
        with self._bell:
            if self._refusal:
                raise RecordBroken(self._refusal)
            self._waiting.append((job, future))
            self._bell.notify()
        return future

    def close(self) -> None:
        """Nothing, once every job handed over was answered; later ones are refused."""
        with self._bell:
            self._refusal = self._refusal or "the record store is closed"
            self._bell.notify()
        self._thread.join()

    def _serve(self) -> None:
        while batch := self._take():
            # From here on nobody can cancel what is still wanted.
            self._write([(job, future) for job, future in batch if future.set_running_or_notify_cancel()])

    def _take(self) -> "list[tuple[Job, Future[Kept]]]":
        with self._bell:
            self._bell.wait_for(lambda: self._waiting or self._refusal)
            batch, self._waiting = self._waiting, []
        return batch

    def _write(self, batch: "list[tuple[Job, Future[Kept]]]") -> None:
        try:
            outcomes = self._batches.write([job for job, _ in batch])
        except Exception as error:
            self._fail([future for _, future in batch], error)
            return
        # INVARIANT: no future is given its result before the commit returned.
        self._commits += 1
        self._answered += len(batch)
        for (_, future), outcome in zip(batch, outcomes, strict=True):
            if isinstance(outcome, BondwrightError):
                future.set_exception(outcome)
            else:
                future.set_result(outcome)

    def _fail(self, futures: "list[Future[Kept]]", error: Exception) -> None:
        if not self._batches.may_go_on(error):
            with self._bell:
                self._refusal = f"the record store stopped after a fault: {error}"
                late, self._waiting = self._waiting, []
            futures = futures + [future for _, future in late if future.set_running_or_notify_cancel()]
        for future in futures:
            future.set_exception(RecordBroken(f"not recorded: {error}"))

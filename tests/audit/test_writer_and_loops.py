"""Group commit for event loops: one waking for all that was written together, and nobody's end is another's."""

import asyncio
import threading
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import pytest

from bondwright.audit.writer import GroupWriter
from bondwright.errors import BondwrightError, RecordBroken, SentBefore

PATIENCE_S = 60


class Held:
    """A database that answers each job with itself, and waits at the first batch until it is let go.

    `in_turn`: then it takes those who came meanwhile.
    """

    def __init__(self) -> None:
        self.begun, self.let_go = threading.Event(), threading.Event()
        self.in_turn = False
        self.batches: list[int] = []

    def write(self, jobs: Sequence[int], late: Callable[[], Sequence[int]], /) -> list[int | BondwrightError]:
        """See Batches; a job below 0 is refused."""
        self.begun.set()
        assert self.let_go.wait(PATIENCE_S)
        if self.in_turn:
            jobs = [*jobs, *late()]
        self.batches.append(len(jobs))
        if 99 in jobs:
            raise OSError("disk")
        return [job if job >= 0 else SentBefore("before") for job in jobs]

    def may_go_on(self, _error: Exception) -> bool:
        """See Batches."""
        return False


@pytest.fixture
def database() -> Held:
    """Holds its first batch."""
    return Held()


@pytest.fixture
def writer(database: Held) -> Iterator[GroupWriter[int, int]]:
    """Writes to it."""
    opened: GroupWriter[int, int] = GroupWriter(database)
    yield opened
    database.let_go.set()
    opened.close()


async def held(writer: GroupWriter[int, int], database: Held, *jobs: int) -> "list[asyncio.Task[int]]":
    """A first job under way alone, and these behind it, all let go."""
    tasks = [asyncio.create_task(writer.submitted(0))]
    while not database.begun.is_set():
        await asyncio.sleep(0.001)
    tasks += [asyncio.create_task(writer.submitted(job)) for job in jobs]
    await asyncio.sleep(0)  # they are handed over
    return tasks


def test_a_loop_is_woken_once_for_all_that_was_written_together(writer: GroupWriter[int, int], database: Held) -> None:
    wakings: list[object] = []

    async def written() -> list[int]:
        tasks = await held(writer, database, *range(1, 21))
        loop = asyncio.get_running_loop()
        usual = loop.call_soon_threadsafe

        def waking(*told: Any, **more: Any) -> asyncio.Handle:
            wakings.append(told)
            return usual(*told, **more)

        loop.call_soon_threadsafe = waking  # type: ignore[method-assign, assignment]
        database.let_go.set()
        return await asyncio.gather(*tasks)

    assert asyncio.run(written()) == list(range(21))
    assert (database.batches, len(wakings)) == ([1, 20], 2)


def test_a_database_that_waited_for_its_turn_takes_all_that_came_meanwhile(writer: GroupWriter[int, int], database: Held) -> None:
    database.in_turn = True

    async def written() -> list[int | BaseException]:
        tasks = await held(writer, database, 1, -1, 2, 3)
        tasks[4].cancel()
        await asyncio.sleep(0)
        database.let_go.set()
        return await asyncio.gather(*tasks, return_exceptions=True)

    first, one, refused, two, cancelled = asyncio.run(written())
    assert ([first, one, two], type(refused), type(cancelled)) == ([0, 1, 2], SentBefore, asyncio.CancelledError)
    assert (database.batches, writer.writing.commits, writer.writing.answered) == ([4], 1, 4)


def test_a_fault_is_told_to_those_who_came_meanwhile_too(writer: GroupWriter[int, int], database: Held) -> None:
    database.in_turn = True

    async def written() -> list[int | BaseException]:
        tasks = await held(writer, database, 1, 99)
        database.let_go.set()
        return await asyncio.gather(*tasks, return_exceptions=True)

    assert [type(outcome) for outcome in asyncio.run(written())] == [RecordBroken] * 3


def test_one_that_is_refused_is_refused_alone(writer: GroupWriter[int, int], database: Held) -> None:
    async def written() -> list[int | BaseException]:
        tasks = await held(writer, database, 1, -1, 2)
        database.let_go.set()
        return await asyncio.gather(*tasks, return_exceptions=True)

    first, one, refused, two = asyncio.run(written())
    assert ([first, one, two], type(refused)) == ([0, 1, 2], SentBefore)


def test_one_that_is_cancelled_keeps_nobody_waiting(writer: GroupWriter[int, int], database: Held) -> None:
    async def written() -> list[int | BaseException]:
        tasks = await held(writer, database, 1, 2, 3)
        tasks[0].cancel()  # under way
        tasks[2].cancel()  # waiting
        await asyncio.sleep(0)
        database.let_go.set()
        return await asyncio.gather(*tasks, return_exceptions=True)

    under_way, one, waiting, three = asyncio.run(written())
    assert ([one, three], type(under_way), type(waiting)) == ([1, 3], asyncio.CancelledError, asyncio.CancelledError)
    assert database.batches == [1, 2]


def test_a_loop_that_ended_stops_no_writing(writer: GroupWriter[int, int], database: Held) -> None:
    async def left() -> None:
        await held(writer, database)

    asyncio.run(left())
    database.let_go.set()

    assert writer.submit(7).result(PATIENCE_S) == 7


def test_a_fault_of_the_database_is_told_to_all_and_to_who_comes_later(writer: GroupWriter[int, int], database: Held) -> None:
    async def written() -> list[int | BaseException]:
        tasks = await held(writer, database, 99, 1)
        database.let_go.set()
        outcomes = await asyncio.gather(*tasks, return_exceptions=True)
        with pytest.raises(RecordBroken):
            await writer.submitted(2)
        return outcomes

    first, fault, other = asyncio.run(written())
    assert (first, type(fault), type(other)) == (0, RecordBroken, RecordBroken)
    assert fault is not other


def test_threads_and_loops_are_answered_together(writer: GroupWriter[int, int], database: Held) -> None:
    async def written() -> list[int]:
        tasks = await held(writer, database, 1)
        future = writer.submit(2)
        database.let_go.set()
        return [*await asyncio.gather(*tasks), await asyncio.to_thread(future.result, PATIENCE_S)]

    assert asyncio.run(written()) == [0, 1, 2]

"""The memory that forgets: its bound, what leaves first, and threads that share it."""

from concurrent.futures import ThreadPoolExecutor

import pytest

from bondwright.engine.memory import BoundedMemory
from bondwright.rulebook.memory import Kept, Memory


@pytest.mark.parametrize("memory", [BoundedMemory(3), Kept()])
def test_what_was_put_is_given_back_and_nothing_else(memory: Memory) -> None:
    memory.put(("digest", 1), "one")

    assert (memory.get(("digest", 1)), memory.get(("digest", 2))) == ("one", None)


def test_one_answer_more_than_the_bound_makes_the_oldest_leave_and_only_that() -> None:
    memory = BoundedMemory(3)

    for number in range(4):
        memory.put(number, str(number))

    assert [memory.get(number) for number in range(4)] == [None, "1", "2", "3"]
    assert (len(memory), memory.forgotten) == (3, 1)


def test_as_many_answers_as_the_bound_all_stay() -> None:
    memory = BoundedMemory(3)

    for number in range(3):
        memory.put(number, str(number))

    assert ([memory.get(number) for number in range(3)], memory.forgotten) == (["0", "1", "2"], 0)


def test_an_answer_put_again_takes_no_more_room_and_keeps_its_age() -> None:
    memory = BoundedMemory(2)

    for key, value in [("a", 1), ("b", 2), ("a", 3), ("c", 4)]:
        memory.put(key, value)

    assert [memory.get(key) for key in "abc"] == [None, 2, 4]


def test_a_memory_of_nothing_keeps_nothing() -> None:
    memory = BoundedMemory(0)

    memory.put("a", 1)

    assert (memory.get("a"), len(memory), memory.forgotten) == (None, 0, 0)


def test_threads_never_bring_it_beyond_its_bound() -> None:
    memory, sizes = BoundedMemory(50), []

    def fill(thread: int) -> None:
        for number in range(2000):
            memory.put((thread, number), number)
            sizes.append(len(memory))
            assert memory.get((thread, number)) in (None, number)

    with ThreadPoolExecutor(8) as pool:
        list(pool.map(fill, range(8)))

    assert (max(sizes), len(memory), memory.forgotten) == (50, 50, 8 * 2000 - 50)


def test_a_memory_that_forgets_nothing_says_how_much_it_keeps() -> None:
    kept = Kept()

    for number in range(1000):
        kept.put(number % 700, number)

    assert len(kept) == 700

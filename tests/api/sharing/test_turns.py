"""Turns: who has spent least is next, one piece at a time; what is cancelled leaves."""

import asyncio
from collections.abc import Callable, Iterator
from threading import Event
from typing import Any

import pytest

from bondwright.assembly.sharing.turns import Turns


@pytest.fixture
def turns() -> Iterator[Turns]:
    """Turns of one thread."""
    made = Turns("tests")
    yield made
    made.close()


class Held:
    """Work that waits until it is let go, and a list of what was done after it."""

    def __init__(self) -> None:
        self.begun, self.let_go, self.order = Event(), Event(), list[str]()

    def hold(self) -> None:
        """Work that takes until it is let go."""
        self.begun.set()
        assert self.let_go.wait(60)

    def noting(self, name: str) -> Callable[[], None]:
        """Work that notes that it was done."""
        return lambda: self.order.append(name)


def order_of(turns: Turns, *asked: tuple[str, int]) -> list[str]:
    """In which order pieces of these tenants and prices are done that were all added while another was being done."""
    held = Held()

    async def go() -> None:
        first = asyncio.create_task(turns.done("first", 1, held.hold))
        await asyncio.to_thread(held.begun.wait)
        tasks = [asyncio.create_task(turns.done(tenant, price, held.noting(tenant))) for tenant, price in asked]
        await asyncio.sleep(0)  # lets each be added
        held.let_go.set()
        await asyncio.gather(first, *tasks)

    asyncio.run(go())
    return held.order


def test_of_equal_prices_each_tenant_is_next_in_turn(turns: Turns) -> None:
    assert order_of(turns, *[("a", 1)] * 3, *[("b", 1)] * 3) == ["a", "b"] * 3


def test_who_asks_for_much_waits_behind_what_others_spend_less(turns: Turns) -> None:
    assert order_of(turns, ("much", 5), ("much", 5), *[("little", 1)] * 7) == ["much", *["little"] * 5, "much", *["little"] * 2]


def test_one_tenant_is_served_in_the_order_in_which_it_asked(turns: Turns) -> None:
    held = Held()

    async def go() -> None:
        await asyncio.gather(*(turns.done("a", price, held.noting(str(price))) for price in (3, 1, 2)))

    asyncio.run(go())

    assert held.order == ["3", "1", "2"]


def test_who_comes_anew_has_not_saved_anything_up(turns: Turns) -> None:
    async def one(tenant: str, price: int) -> None:
        await turns.done(tenant, price, lambda: None)

    asyncio.run(one("busy", 50))

    assert order_of(turns, ("busy", 10), *[("new", 10)] * 2).index("busy") < 2


def test_errors_come_back_to_whoever_asked(turns: Turns) -> None:
    with pytest.raises(ZeroDivisionError):
        asyncio.run(turns.done("a", 1, lambda: 1 // 0))


def test_what_is_cancelled_leaves_the_queue_and_is_never_done(turns: Turns) -> None:
    held = Held()

    async def go() -> tuple[int, int]:
        first = asyncio.create_task(turns.done("a", 1, held.hold))
        await asyncio.to_thread(held.begun.wait)
        waits = asyncio.create_task(turns.done("b", 1, held.noting("b")))
        await asyncio.sleep(0)
        before = turns.waiting
        waits.cancel()
        await asyncio.gather(waits, return_exceptions=True)
        after = turns.waiting
        held.let_go.set()
        await first
        return before, after

    assert (asyncio.run(go()), held.order) == ((1, 0), [])


def test_once_closed_nothing_waits_any_more() -> None:
    turns, held = Turns("tests"), Held()

    async def go() -> list[Any]:
        tasks = [asyncio.create_task(turns.done("a", 1, work)) for work in (held.hold, held.noting("second"))]
        await asyncio.to_thread(held.begun.wait)
        closing = asyncio.create_task(asyncio.to_thread(turns.close))
        while turns.waiting:
            await asyncio.sleep(0.01)
        held.let_go.set()
        await closing
        return await asyncio.gather(*tasks, return_exceptions=True)

    found = asyncio.run(go())

    assert (found[0], type(found[1]), held.order) == (None, asyncio.CancelledError, [])
    with pytest.raises(RuntimeError, match="closed"):
        asyncio.run(turns.done("a", 1, lambda: None))

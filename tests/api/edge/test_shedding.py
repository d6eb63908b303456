"""Beyond a number of requests in progress the next is refused at once; health is never refused."""

import asyncio
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, suppress
from pathlib import Path
from threading import Event

import pytest
from starlette.requests import Request
from starlette.responses import Response
from starlette.testclient import TestClient
from starlette.types import Receive, Scope, Send
from tests.api.builders import EVALUATIONS, HOUSE, JSON, OURS, THEIRS, bearer, keyring, service
from tests.api.edge.exchanges import Exchange, reading

from bondwright.api.app import create_app
from bondwright.api.callers.staying import Staying, stay
from bondwright.api.edge.shedding import SPARED, Shedding
from bondwright.api.problems import MEDIA_TYPE
from bondwright.assembly import Bondwright
from bondwright.engine.compiled import Fired
from bondwright.engine.durable import DurableChannel
from bondwright.errors import Crowded
from bondwright.rulebook.pack import PackHead
from bondwright.settings import Limits

CHUNKED = {"transfer-encoding": "chunked"}


class Working:
    """An application that reads the body, if there is one, and works until it is let go."""

    def __init__(self) -> None:
        self.let_go = asyncio.Event()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """See ASGI."""
        if scope["headers"]:
            await receive()
        await self.let_go.wait()
        await Response()(scope, receive, send)


def answered_while_working(*exchanges: Exchange, most_at_once: int) -> list[int | None]:
    """The status of each exchange, begun one after the other, before any work is done; None while it is worked on."""

    async def go() -> list[int | None]:
        working = Working()
        shedding = Shedding(working, most_at_once)
        tasks = []
        for exchange in exchanges:
            tasks.append(asyncio.create_task(exchange.run(shedding)))
            await asyncio.sleep(0)  # lets the task go as far as it can
        found = [exchange.status for exchange in exchanges]
        working.let_go.set()
        await asyncio.gather(*tasks)
        return found

    return asyncio.run(go())


def test_one_request_too_many_is_refused_at_once() -> None:
    exchanges = [Exchange(method="GET") for _ in range(3)]

    found = answered_while_working(*exchanges, most_at_once=2)

    assert found == [None, None, 503]
    assert [exchange.status for exchange in exchanges] == [200, 200, 503]


def test_a_refusal_says_when_to_come_back() -> None:
    exchange = Exchange(method="GET")

    answered_while_working(exchange, most_at_once=0)

    assert (exchange.answered["retry-after"], exchange.answered["content-type"]) == ("1", MEDIA_TYPE)
    assert b"/problems/too-busy" in exchange.body


@pytest.mark.parametrize("path", sorted(SPARED))  # a set has another order in each process
def test_health_is_never_refused(path: str) -> None:
    exchange = Exchange(method="GET", path=path)

    answered_while_working(exchange, most_at_once=0)

    assert exchange.status == 200


def test_a_caller_whose_body_is_awaited_takes_no_room() -> None:
    async def go() -> int | None:
        shedding = Shedding(reading, 1)
        waiting = asyncio.create_task(Exchange((), CHUNKED).run(shedding))
        await asyncio.sleep(0)
        quick = await Exchange((b"",), method="GET", whole=True).run(shedding)
        waiting.cancel()
        return quick.status

    assert asyncio.run(go()) == 200


def test_who_is_late_with_the_body_is_refused_if_the_room_was_taken_meanwhile() -> None:
    async def go() -> list[int | None]:
        working = Working()
        shedding = Shedding(working, 1)
        body_comes = asyncio.Event()
        late, early = Exchange((b"a",), CHUNKED, whole=True, held=body_comes), Exchange(method="GET")
        tasks = [asyncio.create_task(late.run(shedding))]
        await asyncio.sleep(0)
        tasks.append(asyncio.create_task(early.run(shedding)))
        await asyncio.sleep(0)
        body_comes.set()
        await tasks[0]
        working.let_go.set()
        await tasks[1]
        return [late.status, early.status]

    assert asyncio.run(go()) == [503, 200]


def test_room_is_given_back_when_a_caller_is_done_or_fails() -> None:
    async def failing(_scope: Scope, _receive: Receive, _send: Send) -> None:
        raise ZeroDivisionError

    async def go() -> int:
        shedding = Shedding(failing, 1)
        failed = 0
        for _ in range(3):
            try:
                await Exchange(method="GET").run(shedding)
            except ZeroDivisionError:
                failed += 1
        return failed

    assert asyncio.run(go()) == 3


def test_the_limit_that_is_set_is_the_one_that_holds(bondwright: Bondwright) -> None:
    client = TestClient(create_app(bondwright, limits=Limits(most_at_once=0)))

    assert [client.get(path).status_code for path in ("/v1/rule-packs", "/none", "/livez", "/readyz")] == [503, 503, 200, 200]


class Known(Working):
    """An application that knows whose request it is: the path names the tenant."""

    def __init__(self) -> None:
        super().__init__()
        self.let_in = ""

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """See ASGI."""
        with suppress(Crowded):
            stay(Request(scope), scope["path"])
            self.let_in += scope["path"]
            await super().__call__(scope, receive, send)


def let_in(tenants: str, most_at_once: int) -> tuple[str, str]:
    """Whose requests are let in, of those that ask one after the other and stay, a letter each; and once all are gone, again."""

    async def go() -> tuple[str, str]:
        known = Known()
        shedding = Shedding(known, most_at_once)
        found = []
        for _ in range(2):
            known.let_in = ""
            known.let_go.clear()
            tasks = []
            for tenant in tenants:
                tasks.append(asyncio.create_task(Exchange(method="GET", path=tenant).run(shedding)))
                await asyncio.sleep(0)
            found.append(known.let_in)
            known.let_go.set()
            await asyncio.gather(*tasks)
        return found[0], found[1]

    return asyncio.run(go())


@pytest.mark.parametrize(
    ("tenants", "most_at_once", "found"),
    [
        ("aaaaaaaaaa", 8, "aaaa"),
        ("aaaaaabbbbbb", 8, "aaaabb"),
        ("aaaaaabbbbbbccccddd", 8, "aaaabbcd"),
        ("ab", 1, "a"),
        ("aaaaaaaaaa", 2, "a"),
        ("abcde", 4, "abcd"),
    ],
)
def test_a_tenant_has_as_many_in_progress_as_are_left_free(tenants: str, most_at_once: int, found: str) -> None:
    assert let_in(tenants, most_at_once) == (found, found)


def test_who_has_no_room_is_told_to_come_back_while_another_tenant_is_answered(packs: tuple[PackHead, ...], record_file: Path) -> None:
    begun, let_go = Event(), Event()

    class Slow(DurableChannel):
        """Begins, and goes on when it is let go."""

        def __call__(self, rows: Sequence[bytes]) -> list[Fired]:
            begun.set()
            assert let_go.wait(60)
            return super().__call__(rows)

    with (
        closing(keyring(record_file)) as keys,
        closing(service(packs, record_file, build_channel=Slow)) as built,
        ThreadPoolExecutor() as threads,
        TestClient(create_app(built, keys, Limits(most_at_once=3))) as client,
    ):
        ours, theirs = (bearer(keys.create(tenant, {"evaluate", "read"})[0]) for tenant in (OURS, THEIRS))
        waits = threads.submit(client.post, EVALUATIONS, content=HOUSE, headers=JSON | ours)
        assert begun.wait(60)
        refused, answered = (client.get(EVALUATIONS, headers=key) for key in (ours, theirs))
        let_go.set()
        evaluated = waits.result(60)

    assert [answer.status_code for answer in (refused, answered, evaluated)] == [503, 200, 201]
    assert (refused.headers["retry-after"], refused.json()["type"]) == ("1", "/problems/too-busy")


def held(prices: str, most_price: int) -> str:
    """Which of these prices, may be under way together, asked for one after the other; one with a minus ends."""
    staying, scopes, taken = Staying(100, most_price), dict[str, Scope](), ""
    for one in prices.split():
        if one.startswith("-"):
            staying.end(scopes.pop(one[1:]))
            continue
        scope: Scope = {}
        staying.begin(scope)
        with suppress(Crowded):
            staying.hold(scope, "a", int(one))
            taken += f"{one} "
            scopes[one] = scope
            continue
        staying.end(scope)
    for scope in scopes.values():
        staying.end(scope)
    assert not staying.is_full
    assert not staying._held
    return taken.strip()


@pytest.mark.parametrize(
    ("prices", "taken"),
    [("10 9 1", "10 9 1"), ("10 11", "10"), ("50", "50"), ("50 1", "50"), ("20 1 -20 1", "20 1"), ("19 2 1", "19 1")],
)
def test_what_a_tenant_has_under_way_costs_at_most_twice_as_much_as_one_may_but_one_always_may(prices: str, taken: str) -> None:
    assert held(prices, 10) == taken

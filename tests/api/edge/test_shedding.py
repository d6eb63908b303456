"""Beyond a number of requests in progress the next is refused at once; health is never refused."""

import asyncio

import pytest
from starlette.responses import Response
from starlette.testclient import TestClient
from starlette.types import Receive, Scope, Send
from tests.api.edge.exchanges import Exchange, reading

from bondwright.api.app import create_app
from bondwright.api.edge.shedding import SPARED, Shedding
from bondwright.api.problems import MEDIA_TYPE
from bondwright.assembly import Bondwright
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

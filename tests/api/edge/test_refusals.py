"""A refusal for want of allowance comes a little later, the same as ever, and takes no room while it waits."""

import asyncio

from starlette.responses import Response
from starlette.types import Receive, Scope, Send
from tests.api.edge.exchanges import Exchange

from bondwright.api.callers.refusals import Refusals
from bondwright.api.edge.shedding import Shedding

LATER_S = 0.05


async def answering(scope: Scope, receive: Receive, send: Send) -> None:
    """Refuses POST for want of allowance, and answers the rest."""
    spent = scope["method"] == "POST"
    await Response("spent" if spent else "here", 429 if spent else 200, {"retry-after": "7"} if spent else {})(scope, receive, send)


def test_a_refusal_is_told_whole_when_its_time_has_passed() -> None:
    exchange, at_once = Exchange(method="POST"), Exchange(method="POST")

    asyncio.run(exchange.run(Refusals(answering, LATER_S)))
    asyncio.run(at_once.run(answering))

    assert exchange.status == 429
    assert exchange.sent == at_once.sent


def test_meanwhile_others_are_answered_and_its_room_is_free() -> None:
    async def go() -> list[int | None]:
        refused, other = Exchange(method="POST"), Exchange(method="GET")
        application = Refusals(Shedding(answering, 1), LATER_S)
        waiting = asyncio.create_task(refused.run(application))
        await asyncio.sleep(0)
        await other.run(application)
        found = [refused.status, other.status]
        await waiting
        return [*found, refused.status]

    assert asyncio.run(go()) == [None, 200, 429]


def test_what_is_not_refused_for_that_waits_for_nothing() -> None:
    exchange = Exchange(method="GET")

    asyncio.run(asyncio.wait_for(exchange.run(Refusals(answering, 3600)), 5))

    assert exchange.status == 200

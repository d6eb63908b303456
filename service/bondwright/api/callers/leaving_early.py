"""Callers who leave before they are answered."""

import asyncio
from collections.abc import Coroutine
from typing import Any, TypeVar

from fastapi import Request
from starlette.requests import ClientDisconnect

Done = TypeVar("Done")


async def unless_gone(request: Request, work: Coroutine[Any, Any, Done]) -> Done:
    """What the work gives; if the caller leaves meanwhile, it is cancelled. The body has been read before.

    Raises: ClientDisconnect; what the work raises.
    """
    task, gone = asyncio.ensure_future(work), asyncio.ensure_future(_gone(request))
    try:
        await asyncio.wait((task, gone), return_when=asyncio.FIRST_COMPLETED)
        if task.done():
            return task.result()
        raise ClientDisconnect
    finally:
        for one in (task, gone):
            one.cancel()


async def _gone(request: Request) -> None:
    while (await request.receive())["type"] != "http.disconnect":
        pass

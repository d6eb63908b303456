"""Rate limits: what a key may ask for, told in the draft standard's headers (draft-ietf-httpapi-ratelimit-headers-11).

Everything has a price; that of a house in a few lines is 1, so that an allowance is one of evaluations.
"""

import time
from typing import Any

from fastapi import FastAPI, Request
from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from bondwright.access.keys import Caller
from bondwright.api.callers.staying import hold
from bondwright.assembly.quota import WINDOW_S, Allowance, Quota

_POLICY = "evaluations"

RATE_LIMIT: dict[str, Any] = {
    "RateLimit-Policy": {
        "description": "What a key may ask for, in prices (`q`; that of a small house is 1) in so many seconds (`w`); it fills up evenly."
        " Draft.",
        "schema": {"type": "string", "examples": [f'"{_POLICY}";q=1200;w={WINDOW_S}']},
    },
    "RateLimit": {
        "description": "What is left (`r`), and in how many seconds it is full again (`t`). Draft. Absent without a limit.",
        "schema": {"type": "string", "examples": [f'"{_POLICY}";r=1199;t=1']},
    },
}

PRICED: dict[str, Any] = {
    "Price": {
        "description": "What the request cost of the allowance, whether there is one or not.",
        "required": True,
        "schema": {"type": "string", "examples": ["1"]},
    },
    **RATE_LIMIT,
}

RETRY_AFTER: dict[str, Any] = {
    "Retry-After": {"description": "In how many seconds to try again.", "required": True, "schema": {"type": "string"}}
}


def keep_quota(app: FastAPI, per_minute: int) -> None:
    """Makes `app` let each key spend so much a minute; 0 is without limit."""
    app.state.quota = quota = Quota(per_minute, time.monotonic) if per_minute else None
    if quota:
        app.add_middleware(LeftOfAllowance, quota=quota)


class LeftOfAllowance:
    """Tells whoever reads what its key has left to spend."""

    def __init__(self, app: ASGIApp, quota: Quota) -> None:
        self._app, self._quota = app, quota

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """The application's answer, with what is left where it is one to a key that reads."""
        if scope["type"] != "http" or scope["method"] not in ("GET", "HEAD"):
            await self._app(scope, receive, send)
            return

        async def send_with_left(message: Message) -> None:
            caller: Caller | None = scope.get("state", {}).get("caller")
            if message["type"] == "http.response.start" and caller is not None and caller.key_id is not None:
                headers = MutableHeaders(scope=message)
                for name, told in headers_of(self._quota.left(caller.key_id)).items():
                    headers.setdefault(name, told)
            await send(message)

        await self._app(scope, receive, send_with_left)


def spend(request: Request, caller: Caller, price: int, at_once: int | None = None) -> dict[str, str]:
    """The headers that tell the price of what is let in, and what is left then, where there is a limit.

    `at_once`: how much of it is under way at a time, if not all.
    Raises: QuotaSpent; Crowded, if too much of the tenant is under way.
    """
    hold(request, caller.tenant, price if at_once is None else at_once)
    quota: Quota | None = request.app.state.quota
    told = {"Price": str(price)}
    if quota is None or caller.key_id is None:
        return told
    return told | headers_of(quota.spend(caller.key_id, price))


def demand_left(request: Request, caller: Caller) -> None:
    """Nothing, while the caller has something left to spend; asked before a body is read, so that who has nothing takes next to nothing.

    Raises: QuotaSpent.
    """
    quota: Quota | None = request.app.state.quota
    if quota is not None and caller.key_id is not None:
        quota.demand_left(caller.key_id)


def headers_of(left: Allowance) -> dict[str, str]:
    """What is left, as the draft writes it."""
    return {
        "RateLimit-Policy": f'"{_POLICY}";q={left.per_minute};w={WINDOW_S}',
        "RateLimit": f'"{_POLICY}";r={left.remaining};t={left.full_in_s}',
    }

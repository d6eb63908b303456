"""Shedding load: beyond a number of requests in progress the next is refused at once, instead of all of them answered too late."""

from collections.abc import Container

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from bondwright.api.callers.staying import RETRY_S, Staying
from bondwright.api.edge.leftovers import announces_body
from bondwright.api.problems import TOO_BUSY
from bondwright.settings import USUAL_LIMITS

SPARED = frozenset({"/livez", "/readyz", "/metrics"})
"""Paths for those who run the service: never refused, never cached."""

_RETRY = {"Retry-After": str(RETRY_S)}


class Shedding:
    """Lets at most so many requests in. One that waits for its caller's body is not in progress, so slow callers take no room."""

    def __init__(self, app: ASGIApp, most_at_once: int, most_price: int = USUAL_LIMITS.most_price, spared: Container[str] = SPARED) -> None:
        self._app, self._staying, self._spared = app, Staying(most_at_once, most_price), spared

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """The application's answer, or the problem."""
        if scope["type"] != "http" or scope["path"] in self._spared:
            await self._app(scope, receive, send)
            return
        if self._staying.is_full:
            await TOO_BUSY.answer(headers=_RETRY)(scope, receive, send)
            return
        self._staying.begin(scope)
        try:
            await self._app(scope, self._waiting(scope, receive), send)
        except _FullWhenTheBodyCame:
            await TOO_BUSY.answer(headers=_RETRY)(scope, receive, send)
        finally:
            self._staying.end(scope)

    def _waiting(self, scope: Scope, receive: Receive) -> Receive:
        waiting = announces_body(scope)

        async def receive_outside() -> Message:
            nonlocal waiting
            if not waiting:
                return await receive()
            self._staying.count(scope, -1)
            try:
                message = await receive()
            finally:
                self._staying.count(scope, 1)
            waiting = message.get("more_body", False)
            if self._staying.is_over:
                raise _FullWhenTheBodyCame
            return message

        return receive_outside


class _FullWhenTheBodyCame(Exception):
    """Others took the room while the body was awaited."""

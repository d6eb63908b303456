"""Shedding load: beyond a number of requests in progress the next is refused at once, instead of all of them answered too late."""

from collections.abc import Container

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from bondwright.api.edge.leftovers import announces_body
from bondwright.api.problems import TOO_BUSY

SPARED = frozenset({"/livez", "/readyz", "/metrics"})
"""Paths for those who run the service: never refused, never cached."""

_RETRY = {"Retry-After": "1"}


class Shedding:
    """Lets at most so many requests in. One that waits for its caller's body is not in progress, so slow callers take no room."""

    def __init__(self, app: ASGIApp, most_at_once: int, spared: Container[str] = SPARED) -> None:
        self._app, self._most_at_once, self._spared = app, most_at_once, spared
        self._in_progress = 0  # INVARIANT: touched by the event loop's thread alone

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """The application's answer, or the problem."""
        if scope["type"] != "http" or scope["path"] in self._spared:
            await self._app(scope, receive, send)
            return
        if self._in_progress >= self._most_at_once:
            await TOO_BUSY.answer(headers=_RETRY)(scope, receive, send)
            return
        self._in_progress += 1
        try:
            await self._app(scope, self._waiting(scope, receive), send)
        except _FullWhenTheBodyCame:
            await TOO_BUSY.answer(headers=_RETRY)(scope, receive, send)
        finally:
            self._in_progress -= 1

    def _waiting(self, scope: Scope, receive: Receive) -> Receive:
        waiting = announces_body(scope)

        async def receive_outside() -> Message:
            nonlocal waiting
            if not waiting:
                return await receive()
            self._in_progress -= 1
            try:
                message = await receive()
            finally:
                self._in_progress += 1
            waiting = message.get("more_body", False)
            if self._in_progress > self._most_at_once:
                raise _FullWhenTheBodyCame
            return message

        return receive_outside


class _FullWhenTheBodyCame(Exception):
    """Others took the room while the body was awaited."""

"""The way out in order: what was taken on is answered, and callers are told to go."""

import asyncio

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from bondwright.api.problems import NOT_READY


class WayOut:
    """Whether the service is on its way out."""

    def __init__(self) -> None:
        self.taken = False


class Leaving:
    """On the way out, says so in each answer: not ready, and `Connection: close`, so that nobody asks again on that connection.

    What is cut off because it took too long is answered with 503.
    """

    def __init__(self, app: ASGIApp, way_out: WayOut) -> None:
        self._app, self._way_out = app, way_out

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answers as the application behind does, unless the service is on its way out."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        begun = False

        async def sending(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                if self._way_out.taken:
                    message["headers"] = [*message["headers"], (b"connection", b"close")]
            await send(message)

        if self._way_out.taken and scope["path"] == "/readyz":
            await NOT_READY.answer()(scope, receive, sending)
            return
        try:
            await self._app(scope, receive, sending)
        except asyncio.CancelledError:
            if begun or not self._way_out.taken:
                raise
            await NOT_READY.answer()(scope, receive, sending)

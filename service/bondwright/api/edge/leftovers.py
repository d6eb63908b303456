"""Answers given before the body was read: the connection is then ended so that the caller still gets the answer.

A server that closes a socket with bytes unread resets the connection, and the caller may lose the answer with it (RFC 9112, 9.6).
"""

import asyncio
from contextlib import suppress

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LINGER_S = 2
"""How long a rest that nobody wants is read and dropped, after the answer is out."""


def announces_body(scope: Scope) -> bool:
    """Whether the head of the request says that a body follows."""
    headers = Headers(scope=scope)
    return headers.get("content-length", "0") != "0" or "transfer-encoding" in headers


class Leftovers:
    """Closes the connection where the application answered without reading the whole body, once the rest was dropped."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """The application's answer."""
        if scope["type"] != "http" or not announces_body(scope):
            await self._app(scope, receive, send)
            return
        exchange = _Exchange(scope, receive, send)
        await self._app(scope, exchange.receive, exchange.send)
        await exchange.finish()


class _Exchange:
    """One request and its answer."""

    def __init__(self, scope: Scope, receive: Receive, send: Send) -> None:
        self._receive, self._send = receive, send
        # Such a caller sends nothing until the body is asked for, and asking would make the server say "go on".
        self._silent = Headers(scope=scope).get("expect", "").lower() == "100-continue"
        self._all_read = self._closing = self._answered = False

    async def receive(self) -> Message:
        self._silent = False
        message = await self._receive()
        self._all_read = not message.get("more_body", False)
        return message

    async def send(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            await self._drop(0)  # a small body mostly came along with the head; then the connection can stay
            if not self._all_read:
                self._closing = True
                MutableHeaders(scope=message)["Connection"] = "close"
        elif self._closing and not message.get("more_body", False):
            self._answered = True
            message = {**message, "more_body": True}  # the last word would close the socket at once
        await self._send(message)

    async def finish(self) -> None:
        if self._answered:
            await self._drop(LINGER_S)
            await self._send({"type": "http.response.body", "body": b"", "more_body": False})

    async def _drop(self, seconds: float) -> None:
        if self._all_read or self._silent:
            return
        with suppress(TimeoutError):
            async with asyncio.timeout(seconds):
                while not (self._all_read or self._silent):
                    await self.receive()

"""Requests at the level of ASGI, where a caller can be slow, silent or gone."""

import asyncio
from collections.abc import Mapping
from dataclasses import dataclass, field

from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

GONE = object()
"""In place of a piece of the body: the caller has left."""


@dataclass
class Exchange:
    """One request, piece by piece, and what was answered. After its pieces a caller is silent."""

    pieces: tuple[object, ...] = ()
    headers: Mapping[str, str] = field(default_factory=dict)
    method: str = "POST"
    path: str = "/"
    whole: bool = False
    """Whether the last piece ends the body."""
    lingers: bool = False
    """Whether the caller leaves once there is an answer."""
    held: asyncio.Event | None = None
    """Set when the caller begins to send; None: at once."""
    sent: list[Message] = field(default_factory=list)
    taken: int = 0
    """How many pieces were asked for."""
    _answer_is_out: asyncio.Event = field(default_factory=asyncio.Event)

    async def run(self, app: ASGIApp) -> "Exchange":
        """This exchange, once `app` is done with it."""
        scope = {
            "type": "http",
            "method": self.method,
            "path": self.path,
            "root_path": "",
            "query_string": b"",
            "headers": [(name.lower().encode(), value.encode()) for name, value in self.headers.items()],
            "state": {"request_id": "an id"},
        }
        await app(scope, self._receive, self._send)
        return self

    @property
    def status(self) -> int | None:
        """Of the answer; None if there is none."""
        return next((message["status"] for message in self.sent if message["type"] == "http.response.start"), None)

    @property
    def answered(self) -> dict[str, str]:
        """The headers of the answer."""
        return {name.decode(): value.decode() for name, value in self.sent[0]["headers"]}

    @property
    def body(self) -> bytes:
        """Of the answer."""
        return b"".join(message.get("body", b"") for message in self.sent[1:])

    async def _receive(self) -> Message:
        if self.held is not None:
            await self.held.wait()
        if self.taken == len(self.pieces):
            await (self._answer_is_out if self.lingers else asyncio.Event()).wait()
            return {"type": "http.disconnect"}
        piece = self.pieces[self.taken]
        self.taken += 1
        if piece is GONE:
            return {"type": "http.disconnect"}
        return {"type": "http.request", "body": piece, "more_body": not (self.whole and self.taken == len(self.pieces))}

    async def _send(self, message: Message) -> None:
        self.sent.append(message)
        if message["type"] == "http.response.body":
            self._answer_is_out.set()


async def reading(scope: Scope, receive: Receive, send: Send) -> None:
    """An application that reads the whole body and answers with it."""
    await Response(await Request(scope, receive).body())(scope, receive, send)


async def refusing(scope: Scope, receive: Receive, send: Send) -> None:
    """An application that answers without reading."""
    await Response("refused", 401)(scope, receive, send)

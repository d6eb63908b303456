"""Bodies as they come in: how large, how slowly, in what encoding; refused before they are read, if the head says enough.

Nothing is looked at before a route asks for the body, so one that refuses the caller does so first.
"""

import asyncio
from collections.abc import Mapping
from types import MappingProxyType

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from bondwright.api.problems import MOST_BYTES, TOO_LARGE, TOO_SLOW, WRONG_ENCODING, Kind


class Bodies:
    """Refuses a body that is too large, encoded, or not there in time; all of it must come within so many seconds.

    `large`: paths that take more, and how many bytes; they have as much more time.
    """

    def __init__(self, app: ASGIApp, seconds: float, large: Mapping[str, int] = MappingProxyType({})) -> None:
        self._app, self._seconds, self._large = app, seconds, large

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """The application's answer, or the problem."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        try:
            most_bytes = self._large.get(scope["path"], MOST_BYTES)
            seconds = self._seconds * max(1, most_bytes / MOST_BYTES)
            await self._app(scope, _Body(scope, receive, seconds, most_bytes).receive, send)
        except _Refused as refused:
            encodings = {"Accept-Encoding": "identity"} if refused.kind is WRONG_ENCODING else None
            await refused.kind.answer(headers=encodings)(scope, receive, send)


class _Refused(Exception):
    """The body is not taken."""

    def __init__(self, kind: Kind) -> None:
        self.kind = kind
        super().__init__(kind.name)


class _Body:
    def __init__(self, scope: Scope, receive: Receive, seconds: float, most_bytes: int) -> None:
        self._most_bytes = most_bytes
        self._headers, self._receive, self._seconds = Headers(scope=scope), receive, seconds
        self._deadline: float | None = None
        self._bytes = 0
        self._all_read = False

    async def receive(self) -> Message:
        if self._all_read:
            return await self._receive()
        if self._deadline is None:
            self._check_head()
            self._deadline = asyncio.get_running_loop().time() + self._seconds
        try:
            async with asyncio.timeout_at(self._deadline):
                message = await self._receive()
        except TimeoutError as error:
            raise _Refused(TOO_SLOW) from error
        self._bytes += len(message.get("body", b""))
        if self._bytes > self._most_bytes:
            raise _Refused(TOO_LARGE)
        self._all_read = not message.get("more_body", False)
        return message

    def _check_head(self) -> None:
        encodings = ",".join(self._headers.getlist("content-encoding")).lower().split(",")
        if {encoding.strip() for encoding in encodings} - {"", "identity"}:
            raise _Refused(WRONG_ENCODING)
        announced = self._headers.get("content-length", "")
        if announced.isdecimal() and int(announced) > self._most_bytes:
            raise _Refused(TOO_LARGE)

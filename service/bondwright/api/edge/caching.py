"""Caching (RFC 9110, 9111): a strong entity tag for what can be read again, 304 for who has it, and how long it may be kept."""

import asyncio
import hashlib
import re

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from bondwright.api.edge.shedding import SPARED

CACHE = "Cache-Control"
"""The header that says how long an answer may be kept."""

_NEVER = "no-store"
# For all that is read: bytes of a record never change, yet a header may come to say that the rule pack behind them is withdrawn.
_ASK_AGAIN = "no-cache"
_TAGGED = ("application/json", "text/html", "text/plain")
_LARGE = 100_000  # bytes whose digest takes 0.1 to 0.3 ms; the event loop is not held up longer
_TAG = re.compile(r'(?:W/)?("[^"]*")')


def matches(if_none_match: str, etag: str) -> bool:
    """Whether a header If-None-Match names the entity tag, compared weakly; `*` names every one."""
    return if_none_match.strip() == "*" or etag.removeprefix("W/") in _TAG.findall(if_none_match)


class Caching:
    """Adds the entity tag where a route set none, answers 304, and says of every answer whether it may be kept."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """The application's answer, or that it has not changed."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
        elif scope["method"] != "GET" or scope["path"] in SPARED:
            await self._app(scope, receive, _never_kept(send))
        else:
            await self._app(scope, receive, _Reading(scope, send).send)


def _never_kept(send: Send) -> Send:
    async def send_unkept(message: Message) -> None:
        if message["type"] == "http.response.start":
            MutableHeaders(scope=message).setdefault(CACHE, _NEVER)
        await send(message)

    return send_unkept


class _Reading:
    """The answer to GET, held back until its body is whole."""

    def __init__(self, scope: Scope, send: Send) -> None:
        self._scope, self._send = scope, send
        self._start: Message | None = None
        self._pieces: list[bytes] = []
        self._digest = hashlib.sha256()

    async def send(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            headers.setdefault(CACHE, _ASK_AGAIN if message["status"] < 400 else _NEVER)
            # What depends on the caller does so by these; a cache that holds one key's answer must not give it to another.
            headers.add_vary_header("Accept, Authorization" if self._scope["path"].startswith("/v1/") else "Accept")
            if message["status"] == 200 and headers.get("content-type", "").partition(";")[0] in _TAGGED:
                self._start = message
                return
        elif self._start is not None:
            await self._take(message.get("body", b""))
            if not message.get("more_body", False):
                await self._send_whole(self._start)
            return
        await self._send(message)

    async def _take(self, piece: bytes) -> None:
        self._pieces.append(piece)
        if len(piece) > _LARGE:
            await run_in_threadpool(self._digest.update, piece)
        else:
            self._digest.update(piece)

    async def _send_whole(self, start: Message) -> None:
        headers = MutableHeaders(scope=start)
        etag = headers.setdefault("ETag", f'"{self._digest.hexdigest()}"')
        asked = ",".join(Headers(scope=self._scope).getlist("if-none-match"))
        if matches(asked, etag):
            # Everything but what describes the body that is not sent; its length `compression` takes out, which still needs it.
            del headers["content-type"]
            start["status"] = 304
            self._pieces = [b""]
        await self._send(start)
        *pieces, last = filter(None, self._pieces) if any(self._pieces) else [b""]
        for piece in pieces:
            await self._send({"type": "http.response.body", "body": piece, "more_body": True})
            await asyncio.sleep(0)
        await self._send({"type": "http.response.body", "body": last})

"""Answers on their way out: a large one goes piece by piece, as fast as it is taken, so that it is not held twice nor holds up others."""

import asyncio
from collections.abc import Iterator, Mapping, Sequence

from starlette.responses import Response
from starlette.types import Receive, Scope, Send

_PIECE = 250_000
_LARGE = 1_000_000


def json_of(parts: Sequence[bytes], status: int, headers: Mapping[str, str]) -> Response:
    """The answer whose body is these parts, one after the other, which together are JSON."""
    if sum(map(len, parts)) < _LARGE:
        return Response(b"".join(parts), status, headers, "application/json")
    return _Large(parts, status, headers)


def in_pieces(parts: Sequence[bytes]) -> Iterator[bytes]:
    """The same bytes in one piece; if there are many, in several of at most 250,000 bytes."""
    if sum(map(len, parts)) < _LARGE:
        yield b"".join(parts)
    else:
        yield from _pieces(parts)


def _pieces(parts: Sequence[bytes]) -> Iterator[bytes]:
    for part in parts:
        yield from (part[at : at + _PIECE] for at in range(0, len(part), _PIECE))


class _Large(Response):
    def __init__(self, parts: Sequence[bytes], status: int, headers: Mapping[str, str]) -> None:
        super().__init__(None, status, headers, "application/json")
        self._parts = parts
        self.headers["content-length"] = str(sum(map(len, parts)))

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:  # noqa: ARG002  # as ASGI has it
        await send({"type": "http.response.start", "status": self.status_code, "headers": self.raw_headers})
        for piece in _pieces(self._parts):
            await send({"type": "http.response.body", "body": piece, "more_body": True})
            await asyncio.sleep(0)  # a fast reader would else be served to the end before anybody else
        await send({"type": "http.response.body", "body": b"", "more_body": False})

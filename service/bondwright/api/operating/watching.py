"""Every request watched from outside: what became of it goes to the log and into the figures."""

import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from time import perf_counter_ns
from typing import Any

from starlette.datastructures import Headers
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from uuid_utils import uuid7

from bondwright.api.operating.log import belongs_to, with_fields
from bondwright.api.problems import MEDIA_TYPE, PROBLEM

NOT_LOGGED = frozenset({"/livez", "/readyz", "/metrics"})
"""Routes that machines ask every few seconds."""

_METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})
_RECORDED_AT = "/v1/evaluations/"

_log = logging.getLogger("bondwright.requests")


@dataclass(frozen=True, slots=True)
class Answered:
    """A request and what became of it.

    `route`: the template of the path, such as `/v1/rule-packs/{pack_id}`, or `documentation` or `unmatched`. `method`: one of the usual
    ones, or `OTHER`. `status`: none, if the request was given up. `bytes`: of the answer's body, as sent. `problem`: the name of the kind
    of problem that was answered.
    """

    request_id: str
    method: str
    route: str
    status: int | None = None
    seconds: float = 0.0
    bytes: int = 0
    pack_id: str | None = None
    evaluation_id: str | None = None
    problem: str | None = None


_FIELDS = tuple(field.name for field in fields(Answered))


class Watch:
    """Hands what became of each request to `heard`, and writes it to the log.

    The id of a request is what stands as `request_id` in the state of its scope in the end; a new UUIDv7 stands there in the beginning,
    unless somebody further out has put one there.
    """

    def __init__(self, app: ASGIApp, heard: Callable[[Answered], None]) -> None:
        self._app, self._heard = app, heard

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answers as the application behind does."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        state = scope.setdefault("state", {})
        state.setdefault("request_id", str(uuid7()))
        belongs_to(state)
        begun, seen = perf_counter_ns(), _Seen(send)
        try:
            await self._app(scope, receive, seen.send)
        except Exception:
            seen.failed()
            raise
        finally:
            seconds = (perf_counter_ns() - begun) // 1000 / 1_000_000
            answered = seen.told(state, scope["method"], _route_of(scope), seconds)
            self._heard(answered)
            if answered.route not in NOT_LOGGED:
                told = {name: value for name in _FIELDS if (value := getattr(answered, name)) is not None}
                _log.info("request", extra=with_fields(**told))


class _Seen:
    """What passes on its way to the caller."""

    def __init__(self, send: Send) -> None:
        self._send = send
        self._status: int | None = None
        self._bytes = 0
        self._headers = Headers()

    async def send(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self._status, self._headers = message["status"], Headers(raw=message["headers"])
        elif message["type"] == "http.response.body":
            self._bytes += len(message.get("body", b""))
        await self._send(message)

    def failed(self) -> None:
        """The error is answered further out."""
        if self._status is None:
            self._status = 500

    def told(self, state: Mapping[str, Any], method: str, route: str, seconds: float) -> Answered:
        place = self._headers.get("location", "")
        return Answered(
            request_id=state["request_id"],
            method=method if method in _METHODS else "OTHER",
            route=route,
            status=self._status,
            seconds=seconds,
            bytes=self._bytes,
            pack_id=self._headers.get("rule-pack"),
            evaluation_id=place.removeprefix(_RECORDED_AT) if place.startswith(_RECORDED_AT) else None,
            problem=state.get(PROBLEM) if self._headers.get("content-type") == MEDIA_TYPE else None,
        )


def _route_of(scope: Scope) -> str:
    """The template of the path, never the path: anything may stand in one that fits no route."""
    elsewhere = "documentation" if "endpoint" in scope else "unmatched"
    return str(getattr(scope.get("route"), "path_format", elsewhere))

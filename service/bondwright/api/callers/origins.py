"""Pages of other origins (CORS, as the Fetch standard has it): let in where the operator names their origin, else nothing is said.

No cookie lets anybody in here, so none is admitted either; a page needs a key as everybody does.
"""

from collections.abc import Collection, Mapping

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from bondwright.api.edge.methods import allowed
from bondwright.api.edge.shedding import SPARED

_OPEN_TO = "Access-Control-Allow-Origin"
# Remembered by a browser for ten minutes: so long a page may go on after its origin was taken out.
_ADMITTED = {
    "Access-Control-Allow-Headers": "Authorization, Content-Type, Idempotency-Key, If-None-Match, Prefer",
    "Access-Control-Max-Age": "600",
}
_EXPOSED = {
    "Access-Control-Expose-Headers": "Allow, ETag, Idempotency-Replayed, Link, Location, Preference-Applied, Price, RateLimit,"
    " RateLimit-Policy, Request-Id, Retry-After, Rule-Pack, Rule-Pack-Withdrawn, WWW-Authenticate"
}


class Origins:
    """Answers a preflight of a named origin, and marks every answer to one as open to it."""

    def __init__(self, app: ASGIApp, origins: Collection[str]) -> None:
        self._app, self._origins = app, frozenset(origins)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """The application's answer, or that of the preflight."""
        if scope["type"] != "http" or scope["path"] in SPARED:
            await self._app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        origin = headers.get("origin", "")
        if origin not in self._origins:
            await self._app(scope, receive, _varied(send, {}))
        elif "access-control-request-method" in headers and scope["method"] == "OPTIONS" and (methods := allowed(scope)):
            told = {_OPEN_TO: origin, "Access-Control-Allow-Methods": methods, **_ADMITTED}
            answer = Response(status_code=204, headers={"Allow": methods, "Cache-Control": "no-store"})
            await answer(scope, receive, _varied(send, told))
        else:
            await self._app(scope, receive, _varied(send, {_OPEN_TO: origin, **_EXPOSED}))


def _varied(send: Send, told: Mapping[str, str]) -> Send:
    async def send_varied(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            # A cache must not give the answer of one origin to another.
            headers.add_vary_header("Origin")
            headers.update(told)
        await send(message)

    return send_varied

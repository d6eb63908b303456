"""An id for every request, by which its answer and the operator's log are found together."""

from collections.abc import Callable

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from uuid_utils import uuid7

HEADER = "Request-Id"
"""The header that every answer carries."""


class RequestIds:
    """Gives each request an id: in the state of the request as `request_id`, and in a header of the answer.

    A `Request-Id` that the caller sends is neither taken over nor logged: two callers could send the same one, or one that forges a line.
    """

    def __init__(self, app: ASGIApp, new_id: Callable[[], str] = lambda: str(uuid7())) -> None:
        self._app, self._new_id = app, new_id

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """The application's answer, its id added."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        request_id = scope.setdefault("state", {})["request_id"] = self._new_id()

        async def send_with_id(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message)[HEADER] = request_id
            await send(message)

        await self._app(scope, receive, send_with_id)

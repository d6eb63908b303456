"""What nobody foresaw, answered as a problem; and callers who left before they were read."""

import logging

from starlette.requests import ClientDisconnect
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from bondwright.api.problems import INTERNAL

_log = logging.getLogger(__name__)


class LastNet:
    """Catches what the application raises: logged with the id of the request, answered as a problem that tells nothing."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """The application's answer, or the problem."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        started = False

        async def noting_send(message: Message) -> None:
            nonlocal started
            started = True
            await send(message)

        try:
            await self._app(scope, receive, noting_send)
        except ClientDisconnect:
            _log.info("request %s: the caller left", scope["state"]["request_id"])
        except Exception:
            if started:  # half an answer is out: only the server can still cut the connection
                raise
            _log.exception("request %s: unforeseen", scope["state"]["request_id"])
            await INTERNAL.answer()(scope, receive, send)

"""Methods that no route writes down: HEAD wherever GET is, OPTIONS everywhere; and which ones a path has."""

from typing import Any

from starlette.responses import Response
from starlette.routing import Match, Mount
from starlette.types import ASGIApp, Message, Receive, Scope, Send

_WITH_ROUTES = ("DELETE", "GET", "PATCH", "POST", "PUT")


def allowed(scope: Scope) -> str:
    """Every method of the path, as the header Allow lists them; empty if nothing is there."""
    return ", ".join(sorted(methods_at(scope)))


def methods_at(scope: Scope) -> set[str]:
    """Every method of the path of a request, whichever route has it."""
    if scope["path"] == "*":  # OPTIONS * asks for the server as a whole
        return {"GET", "HEAD", "OPTIONS", "POST"}
    found = {method for method in _WITH_ROUTES if any(_takes(route, scope, method) for route in scope["app"].routes)}
    found |= {"HEAD"} if "GET" in found else set()
    return found | {"OPTIONS"} if found else found


def _takes(route: Any, scope: Scope, method: str) -> bool:
    # What is mounted are files, which can only be read; a mount itself matches every method.
    if isinstance(route, Mount) and method != "GET":
        return False
    whole = {**scope, "method": method, "root_path": scope.get("app_root_path", scope["root_path"])}  # a mount shortens the path
    return route.matches(whole)[0] is Match.FULL


class Methods:
    """Answers HEAD as GET without the body, and OPTIONS with the methods of the path."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """The application's answer, or the methods."""
        if scope["type"] == "http" and scope["method"] == "HEAD":
            await self._app({**scope, "method": "GET"}, receive, _bodiless(send))
        elif scope["type"] == "http" and scope["method"] == "OPTIONS" and (methods := allowed(scope)):
            await Response(status_code=204, headers={"Allow": methods, "Cache-Control": "no-store"})(scope, receive, send)
        else:
            await self._app(scope, receive, send)


def _bodiless(send: Send) -> Send:
    async def send_head(message: Message) -> None:
        await send({**message, "body": b""} if message["type"] == "http.response.body" else message)

    return send_head

"""Routes that see to it by hand what the framework would find out for them at each request."""

from collections.abc import Awaitable, Callable

from fastapi import Request, Response
from fastapi.routing import APIRoute
from starlette.types import Receive, Scope, Send

from bondwright.api.callers.queries import demand_known_query


def by_hand(answering: Callable[[Request], Awaitable[Response]]) -> type[APIRoute]:
    """The class of a route that is answered by `answering`, while the document says of it what the signature of its endpoint says.

    Finding out what an endpoint depends on, and ending that in order, took the framework 0.1 ms a request, a third of all that was spent
    inside the application (2026-11-29). What is raised is answered further out, by the same handlers.
    """

    class ByHand(APIRoute):
        """A route answered so."""

        async def handle(self, scope: Scope, receive: Receive, send: Send) -> None:
            """Answers a method that the route has; another as every route does."""
            if scope["method"] not in (self.methods or ()):
                await super().handle(scope, receive, send)
                return
            request = Request(scope, receive, send)
            await demand_known_query(request)
            response = await answering(request)
            await response(scope, receive, send)

    return ByHand

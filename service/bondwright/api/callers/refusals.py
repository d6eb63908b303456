"""A refusal for want of allowance is told a little later: who asks on without pause takes next to nothing from the others."""

import asyncio

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from bondwright.api.problems import TOO_MANY

WAIT_S = 0.1
"""How much later. It takes no room meanwhile: nothing of the request is in progress any more."""


class Refusals:
    """Holds back answers that say that a key has nothing left to spend."""

    def __init__(self, app: ASGIApp, seconds: float = WAIT_S) -> None:
        self._app, self._seconds = app, seconds

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """The application's answer; a refusal when it is whole and its time has passed."""
        held: list[Message] = []

        async def send_or_hold(message: Message) -> None:
            refuses = message["type"] == "http.response.start" and message["status"] == TOO_MANY.status
            if held or refuses:
                held.append(message)
            else:
                await send(message)

        await self._app(scope, receive, send_or_hold)
        if held:
            await asyncio.sleep(self._seconds)
        for message in held:
            await send(message)

"""The server that listens, and how it stops."""

import asyncio
import socket
import time

import uvicorn

from bondwright.api.operating.leaving import WayOut

_LAST_REQUESTS_S = 1
_LOOKS_A_SECOND = 20


def listening(host: str, port: int) -> socket.socket:
    """A socket that listens there. Raises: OSError, if it cannot.

    What is answered leaves at once. Without that an answer's body waits for the caller to acknowledge its head, which takes some 40 ms on
    a connection that is used again; asyncio sees to it only where a socket names its protocol, as those of `create_server` do not.
    """
    listener = socket.create_server((host, port), family=socket.AF_INET6 if ":" in host else socket.AF_INET)
    listener.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)  # its connections inherit it
    return listener


class Server(uvicorn.Server):
    """Told to stop, it says so in its answers, stops listening, answers what was taken on, and only then closes connections.

    A client that asks again and again on one connection is told to go in an answer, not cut off with a request under way. A connection
    on which nothing is asked for a second is closed.
    """

    def __init__(self, config: uvicorn.Config, way_out: WayOut, drain_s: float = 0) -> None:
        """`drain_s`: how long it goes on listening while it already says that it is on its way out."""
        super().__init__(config)
        self._way_out, self._drain_s = way_out, drain_s

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """Nothing, once everyone has left, the configured time is over, or an interrupt came again."""
        self._way_out.taken = True
        await self._wait(self._drain_s, until_all_left=False)
        for server in self.servers:
            server.close()
        await self._wait(_LAST_REQUESTS_S, until_all_left=True)
        await super().shutdown(sockets)
        if self.force_exit:  # then the application is not told above, and would be cancelled
            await self.lifespan.shutdown()

    async def _wait(self, longest_s: float, until_all_left: bool) -> None:
        end = time.monotonic() + longest_s
        while time.monotonic() < end and not self.force_exit and not (until_all_left and not self.server_state.connections):
            await asyncio.sleep(1 / _LOOKS_A_SECOND)

"""The heads of requests, below the application: read in one way only, and within a time.

What is refused here is answered in plain text, and its connection closed: with 400, what two readers could read differently (RFC 9112,
sections 2.2, 5.2 and 6.1), with 408 a head that does not come to its end.
"""

import asyncio
from http import HTTPStatus
from typing import Any, ClassVar

import h11
import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol
from uvicorn.server import ServerState

_END = b"\r\n\r\n"
_HEADERS = [(b"content-type", b"text/plain; charset=utf-8"), (b"connection", b"close")]


class StrictConnection(h11.Connection):
    """Refuses what the library forgives: bare line feeds, folded lines, a length beside chunks, chunks in HTTP/1.0."""

    def __init__(self) -> None:
        super().__init__(h11.SERVER)
        self._looked_at = 0
        self._chunks: bytearray | None = None

    def receive_data(self, data: bytes) -> None:
        """As in the library."""
        if self._chunks is not None:
            self._chunks += data
        super().receive_data(data)

    def next_event(self) -> "h11.Event | type[h11.NEED_DATA] | type[h11.PAUSED]":
        """As in the library. Raises: RemoteProtocolError."""
        if self.their_state is h11.IDLE:
            self._demand_strict_lines()
        event = super().next_event()
        if isinstance(event, h11.Request):
            self._looked_at = 0
            self._demand_one_end(event)
        elif self._chunks is not None:
            self._demand_strict_end(self._chunks, event)
        return event

    def _demand_strict_lines(self) -> None:
        """Looks at each line of a head once, when it is there."""
        received, _ = self.trailing_data
        while (end := received.find(b"\n", self._looked_at)) >= 0:
            line = received[self._looked_at : end + 1]
            if not line.endswith(b"\r\n") or line.startswith((b" ", b"\t")):
                raise h11.RemoteProtocolError("a line of the head ends in a bare line feed, or is folded")
            if line == b"\r\n":
                break
            self._looked_at = end + 1

    def _demand_one_end(self, request: h11.Request) -> None:
        names = {name for name, _ in request.headers}
        if b"transfer-encoding" not in names:
            return
        if b"content-length" in names or request.http_version < b"1.1":
            raise h11.RemoteProtocolError("the body has two ends, or none")
        self._chunks = bytearray(self.trailing_data[0])

    def _demand_strict_end(self, chunks: bytearray, event: object) -> None:
        """Of `chunks` only what is not read yet is kept, and as many bytes before it as the end of all of them has."""
        if event is not h11.NEED_DATA and not isinstance(event, h11.EndOfMessage):
            return
        read = len(chunks) - len(self.trailing_data[0])
        if event is h11.NEED_DATA:
            del chunks[: max(0, read - len(_END))]
            return
        self._chunks = None
        if not chunks.endswith(_END, 0, read):
            raise h11.RemoteProtocolError("the chunks end in a bare line feed")


class StrictHttp(H11Protocol):
    """A connection whose heads are read strictly, each within `head_s` of its first byte, or of the connection being made.

    0 is without limit.
    """

    head_s: ClassVar[float] = 0

    def __init__(
        self, config: uvicorn.Config, server_state: ServerState, app_state: dict[str, Any], _loop: asyncio.AbstractEventLoop | None = None
    ) -> None:
        super().__init__(config, server_state, app_state, _loop)
        self.conn = StrictConnection()
        self._too_late: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]  # as the class above has it
        """As in the library."""
        super().connection_made(transport)
        self._watch()

    def data_received(self, data: bytes) -> None:
        """As in the library."""
        super().data_received(data)
        self._watch()

    def on_response_complete(self) -> None:
        """As in the library."""
        super().on_response_complete()
        self._watch()

    def connection_lost(self, exc: Exception | None) -> None:
        """As in the library."""
        super().connection_lost(exc)
        self._watch()

    def send_400_response(self, msg: str) -> None:
        """As in the library; where an answer is under way, only the connection is closed."""
        self._refuse(HTTPStatus.BAD_REQUEST, msg)

    def _watch(self) -> None:
        """Sees to it that time runs just while a head is awaited; until its first byte the keep-alive time may run instead."""
        is_awaited = self.conn.their_state is h11.IDLE and self.timeout_keep_alive_task is None and not self.transport.is_closing()
        if self._too_late and not is_awaited:
            self._too_late.cancel()
            self._too_late = None
        elif is_awaited and not self._too_late and self.head_s:
            self._too_late = self.loop.call_later(self.head_s, self._give_up)

    def _give_up(self) -> None:
        if self.conn.trailing_data[0]:
            self._refuse(HTTPStatus.REQUEST_TIMEOUT, "The head of the request did not come in time.")
        else:
            self.conn.send(h11.ConnectionClosed())
            self.transport.close()

    def _refuse(self, status: HTTPStatus, why: str) -> None:
        if self.conn.our_state in (h11.IDLE, h11.SEND_RESPONSE):
            answer = h11.Response(status_code=status, headers=_HEADERS, reason=status.phrase.encode())
            for event in (answer, h11.Data(data=why.encode()), h11.EndOfMessage()):
                self.transport.write(self.conn.send(event) or b"")
        self.transport.close()


def strict_http(head_s: float) -> type[StrictHttp]:
    """What a server is to read HTTP with."""

    class Within(StrictHttp):
        pass

    Within.head_s = head_s
    return Within

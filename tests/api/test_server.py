"""The server: what it listens on, and what takes longer than it may take to stop."""

import asyncio
import socket

import uvicorn
from starlette.types import Receive, Scope, Send

from bondwright.api.operating.leaving import Leaving, WayOut
from bondwright.api.operating.server import Server, listening
from bondwright.api.problems import MEDIA_TYPE


async def answered_when_cut_off() -> bytes:
    """What a caller gets whose request never ends, once the server was told to stop."""
    begun, way_out = asyncio.Event(), WayOut()

    async def endless(_scope: Scope, _receive: Receive, _send: Send) -> None:
        begun.set()
        await asyncio.Event().wait()

    with socket.create_server(("127.0.0.1", 0)) as listener:
        app = Leaving(endless, way_out)
        server = Server(uvicorn.Config(app, lifespan="off", log_config=None, timeout_graceful_shutdown=0), way_out)
        serving = asyncio.create_task(server.serve(sockets=[listener]))
        reader, writer = await asyncio.open_connection(*listener.getsockname())
        writer.write(b"GET / HTTP/1.1\r\nhost: tests\r\n\r\n")
        await begun.wait()
        server.should_exit = True
        answer = await reader.read()
        writer.close()
        await serving
    return answer


def test_a_request_that_is_cut_off_is_answered_with_a_problem() -> None:
    answer = asyncio.run(answered_when_cut_off())

    assert answer.startswith(b"HTTP/1.1 503 ")
    assert MEDIA_TYPE.encode() in answer


def test_answers_leave_at_once_and_wait_for_no_acknowledgement() -> None:
    with listening("127.0.0.1", 0) as listener, socket.create_connection(listener.getsockname()):
        accepted, _ = listener.accept()

        with accepted:
            assert accepted.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY)

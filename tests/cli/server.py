"""A server in a process of its own, and callers that speak to its socket."""

import os
import select
import socket
import subprocess
from collections.abc import Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, closing, contextmanager
from dataclasses import dataclass
from http.client import HTTPMessage, HTTPResponse
from pathlib import Path
from typing import TypeAlias
from urllib.parse import urlsplit
from urllib.request import Request, urlopen

from tests.cli.command import BONDWRIGHT
from tests.forked import Forked, Start

PATIENCE_S = 60


Serving: TypeAlias = tuple[str, "subprocess.Popen[bytes]"]
"""Where a server answers, and its process."""


def serving(data: Path, *more: str, **environment: str) -> AbstractContextManager[Serving]:
    """A server on a free port of loopback, which is ended at the latest when the block ends."""
    return _serving(Forked, data, more, environment)


def serving_afresh(data: Path, *more: str, **environment: str) -> AbstractContextManager[Serving]:
    """The same by a true start, with all that an interpreter does then."""
    return _serving(subprocess.Popen, data, more, environment)


@contextmanager
def _serving(start: Start, data: Path, more: Sequence[str], environment: Mapping[str, str]) -> Iterator[Serving]:
    command: list[str | Path] = [BONDWRIGHT, "serve", "--port", "0", "--data", data, *more]
    with start(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env={**os.environ, **environment}) as process:
        try:
            assert process.stdout
            assert select.select([process.stdout], [], [], PATIENCE_S)[0], "nothing was printed in time"
            greeting = process.stdout.readline().decode()
            assert greeting.endswith(f"records in {data / 'record.sqlite'}\n"), greeting
            yield greeting.split()[1], process
        finally:
            process.kill()


def ask(address: str, body: bytes | None = None) -> HTTPResponse:
    """The answer to GET, or to POST where a body is given."""
    answer = urlopen(Request(address, body, {"content-type": "application/json"} if body else {}), timeout=PATIENCE_S)
    assert isinstance(answer, HTTPResponse)
    return answer


def connected(address: str) -> socket.socket:
    """A connection to the server at `address`; whatever is awaited on it is awaited for so long and no longer."""
    place = urlsplit(address)
    return socket.create_connection((place.hostname or "", place.port or 0), timeout=PATIENCE_S)


def post(*headers: str, path: str = "/v1/evaluations") -> bytes:
    """The head of a request that sends JSON."""
    return "\r\n".join([f"POST {path} HTTP/1.1", "Host: here", "Content-Type: application/json", *headers, "", ""]).encode()


@dataclass(frozen=True)
class Answer:
    """An answer, its body read."""

    status: int
    headers: HTTPMessage
    body: bytes


def answer_on(connection: socket.socket) -> Answer:
    """The next answer on a connection on which no other is under way."""
    with closing(HTTPResponse(connection)) as answer:
        answer.begin()
        return Answer(answer.status, answer.headers, answer.read())


def all_on(connection: socket.socket) -> bytes:
    """Whatever is said on a connection until the server ends it."""
    return b"".join(iter(lambda: connection.recv(10_000), b""))

"""`bondwright serve` and callers who are slow, wordy or rude, over a real socket.

What the server below the application answers by itself is text, not a problem: 400 for what is no HTTP, and for a head
that is not complete after 16 kB.
"""

import gzip
import json
import socket
import struct
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.cli.command import HOUSE
from tests.cli.server import PATIENCE_S, all_on, answer_on, ask, connected, post, serving

BODY = HOUSE.read_bytes()
PROBLEM = "application/problem+json"
LIVEZ = b"GET /livez HTTP/1.1\r\nHost: here\r\n\r\n"


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A server that waits one second for a body."""
    with serving(tmp_path_factory.mktemp("edge"), "--no-auth", BONDWRIGHT_BODY_S="1") as (address, _):
        yield address


@pytest.fixture
def connection(address: str) -> Iterator[socket.socket]:
    """A connection to it."""
    with connected(address) as connection:
        yield connection


def is_closed(connection: socket.socket) -> bool:
    """Whether the server ends the connection without another word, sooner or later."""
    try:
        return connection.recv(1) == b""
    except ConnectionResetError:
        return True


def test_a_body_that_stalls_is_answered_and_the_connection_ended(connection: socket.socket) -> None:
    connection.sendall(post("Content-Length: 100") + b'{"work":')

    answer = answer_on(connection)

    assert (answer.status, answer.headers["content-type"], answer.headers["connection"]) == (408, PROBLEM, "close")
    assert json.loads(answer.body)["request_id"] == answer.headers["request-id"]
    assert is_closed(connection)


def test_a_body_that_trickles_is_answered_before_it_ends(connection: socket.socket) -> None:
    connection.sendall(post("Content-Length: 900000"))
    connection.settimeout(0.05)
    trickled = 0
    while True:
        connection.sendall(b" ")
        trickled += 1
        try:
            connection.recv(1, socket.MSG_PEEK)
            break
        except TimeoutError:
            assert trickled < PATIENCE_S / 0.05
    connection.settimeout(PATIENCE_S)

    answer = answer_on(connection)

    assert answer.status == 408


def test_a_length_that_is_too_large_is_refused_before_the_body_is_sent(connection: socket.socket) -> None:
    connection.sendall(post("Content-Length: 1000001"))

    answer = answer_on(connection)

    assert (answer.status, answer.headers["content-type"], answer.headers["connection"]) == (413, PROBLEM, "close")


def test_a_caller_who_sends_all_the_same_still_gets_the_answer(connection: socket.socket) -> None:
    connection.sendall(post("Content-Length: 5000000"))
    connection.sendall(b" " * 5_000_000)

    answer = answer_on(connection)

    assert (answer.status, json.loads(answer.body)["type"]) == (413, "/problems/too-large")


def test_a_body_in_pieces_that_grows_too_large_is_refused(connection: socket.socket) -> None:
    connection.sendall(post("Transfer-Encoding: chunked"))
    for _ in range(20):
        connection.sendall(b"f4240\r\n" + b" " * 1_000_000 + b"\r\n")

    answer = answer_on(connection)

    assert (answer.status, json.loads(answer.body)["type"]) == (413, "/problems/too-large")


def test_a_caller_who_asks_first_is_told_to_go_on(connection: socket.socket) -> None:
    connection.sendall(post(f"Content-Length: {len(BODY)}", "Expect: 100-continue"))
    told = connection.recv(1000)

    connection.sendall(BODY)
    answer = answer_on(connection)

    assert told.startswith(b"HTTP/1.1 100 ")
    assert answer.status == 201


@pytest.mark.parametrize(
    ("headers", "status"), [(["Content-Length: 5000000"], 413), (["Content-Length: 9", "Content-Encoding: gzip"], 415)]
)
def test_a_caller_who_asks_first_is_refused_without_sending(connection: socket.socket, headers: list[str], status: int) -> None:
    connection.sendall(post(*headers, "Expect: 100-continue"))

    told = all_on(connection)

    assert told.startswith(f"HTTP/1.1 {status} ".encode())
    assert b"100 Continue" not in told


def test_a_compressed_body_is_refused(connection: socket.socket) -> None:
    packed = gzip.compress(b" " * 100_000_000)

    connection.sendall(post(f"Content-Length: {len(packed)}", "Content-Encoding: gzip") + packed)
    answer = answer_on(connection)

    assert (answer.status, answer.headers["accept-encoding"]) == (415, "identity")


def test_a_refusal_leaves_the_connection_open_if_the_body_had_come_along(connection: socket.socket) -> None:
    connection.sendall(post("Content-Length: 2", path="/none") + b"{}")
    refused = answer_on(connection)

    connection.sendall(LIVEZ)
    again = answer_on(connection)

    assert (refused.status, again.status) == (404, 200)


def test_head_leaves_the_connection_in_step(connection: socket.socket) -> None:
    connection.sendall(LIVEZ.replace(b"GET", b"HEAD") + LIVEZ)

    said = connection.recv(10_000)
    while not said.endswith(b"}"):
        said += connection.recv(10_000)

    assert said.count(b"HTTP/1.1 200 OK") == 2
    assert said.count(b'{"status":"alive"}') == 1


def test_garbage_after_a_request_is_answered_in_text_after_the_answer(connection: socket.socket) -> None:
    connection.sendall(LIVEZ + b"\x16\x03\x01 no HTTP\r\n\r\n")

    first, second = all_on(connection).split(b"HTTP/1.1 ")[1:]

    assert first.startswith(b"200 ")
    assert second.startswith(b"400 ")
    assert b"text/plain" in second


@pytest.mark.parametrize(
    "head",
    [
        b"GET / HTTP/1.1\r\nHost: here\r\nX-Long: " + b"x" * 20_000,
        b"GET /" + b"x" * 20_000,
        b"GET / HTTP/1.1\r\nNo-Host: here\r\n\r\n",
        b"GET / HTTP/9\r\nHost: here\r\n\r\n",
        post("Content-Length: 1", "Content-Length: 2"),
        post("Content-Length: many"),
        post("Transfer-Encoding: gzip, chunked"),
    ],
)
def test_what_the_server_below_refuses_is_answered_in_text(connection: socket.socket, head: bytes) -> None:
    connection.sendall(head)

    answer = answer_on(connection)

    assert (answer.status, answer.headers["content-type"]) == (400, "text/plain; charset=utf-8")


def test_a_caller_who_leaves_in_the_middle_leaves_no_traceback(tmp_path: Path) -> None:
    with serving(tmp_path, "--no-auth") as (address, process):
        with connected(address) as connection:
            connection.sendall(post("Content-Length: 100", "Expect: 100-continue"))
            connection.recv(1000)  # it is being read
            connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))  # left with a reset
        ask(f"{address}/v1/rule-packs").close()
        process.terminate()
        _, log = process.communicate(timeout=PATIENCE_S)

    assert b": the caller left" in log
    assert b"Traceback" not in log

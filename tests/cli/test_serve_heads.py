"""`bondwright serve` and heads of requests that two readers could read differently, or that never end, over a real socket.

What is demanded here, RFC 9112 demands or allows: 2.2 (a line ends with CRLF), 5.2 (folded lines), 6.1 and 6.3 (a length beside chunks).
"""

import socket
import time
from collections.abc import Iterator
from contextlib import ExitStack, suppress
from pathlib import Path

import pytest
from tests.cli.server import PATIENCE_S, all_on, answer_on, connected, post, serving

HEAD_S = 1.0
LIVEZ = b"GET /livez HTTP/1.1\r\nHost: here\r\n\r\n"
MANY = 50
PLAIN = "text/plain; charset=utf-8"

SMUGGLED = b"0\r\n\r\n" + LIVEZ
"""An end of chunks with a request behind it: whoever goes by the length takes both for a body."""


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A server that waits one second for a head."""
    with serving(tmp_path_factory.mktemp("heads"), "--no-auth", BONDWRIGHT_HEAD_S=f"{HEAD_S:g}") as (address, _):
        yield address


@pytest.fixture
def connection(address: str) -> Iterator[socket.socket]:
    """A connection to it."""
    with connected(address) as connection:
        yield connection


@pytest.mark.parametrize(
    "request_sent",
    [
        post(f"Content-Length: {len(SMUGGLED)}", "Transfer-Encoding: chunked") + SMUGGLED,
        post("Transfer-Encoding: chunked", "Content-Length: 0") + SMUGGLED,
        post("transfer-encoding: Chunked", "content-LENGTH: 5") + SMUGGLED,
        post("Transfer-Encoding: chunked").replace(b"HTTP/1.1", b"HTTP/1.0") + SMUGGLED,
    ],
    ids=["length first", "length last", "other letters", "HTTP/1.0"],
)
def test_a_body_with_two_ends_is_refused_and_what_follows_is_not_read(connection: socket.socket, request_sent: bytes) -> None:
    connection.sendall(request_sent)

    said = all_on(connection)

    assert said.startswith(b"HTTP/1.1 400 ")
    assert (said.count(b"HTTP/1.1 "), b"\r\nconnection: close\r\n" in said.lower()) == (1, True)


@pytest.mark.parametrize(
    "head",
    [
        b"GET /livez HTTP/1.1\nHost: here\n\n",
        b"GET /livez HTTP/1.1\nHost: here\r\n\r\n",
        b"GET /livez HTTP/1.1\r\nHost: here\n\r\n",
        b"GET /livez HTTP/1.1\r\nHost: here\r\n\n",
        b"GET /livez HTTP/1.1\r\nHost: here\r\nA: b\nC: d\r\n\r\n",
        b"GET /livez HTTP/1.1\r\nHost: here\r\nA: b\rC: d\r\n\r\n",
        b"GET /livez HTTP/1.1\r\nHost: here\r\nA: b\r\r\n\r\n",
        b"\n" + LIVEZ,
        b"GET /livez HTTP/1.1\n",
    ],
)
def test_a_line_that_does_not_end_as_it_must_is_refused(connection: socket.socket, head: bytes) -> None:
    connection.sendall(head + LIVEZ)

    said = all_on(connection)

    assert said.startswith(b"HTTP/1.1 400 ")
    assert said.count(b"HTTP/1.1 ") == 1


@pytest.mark.parametrize("fold", [b"\r\n ", b"\r\n\t", b"\r\n  \t"])
@pytest.mark.parametrize("line", [b"A: b", b"Content-Length: 5", b"Transfer-Encoding:"])
def test_a_folded_line_is_refused(connection: socket.socket, line: bytes, fold: bytes) -> None:
    connection.sendall(b"POST /livez HTTP/1.1\r\nHost: here\r\n" + line + fold + b"chunked\r\n\r\n" + SMUGGLED)

    said = all_on(connection)

    assert said.startswith(b"HTTP/1.1 400 ")
    assert said.count(b"HTTP/1.1 ") == 1


@pytest.mark.parametrize("end", [b"0\r\n\n", b"0\n\r\n", b"0\r\nA: b\n\r\n", b"0\r\nA: b\r\n\n", b"0;a\n\r\n\r\n"])
def test_chunks_that_do_not_end_as_they_must_are_refused(connection: socket.socket, end: bytes) -> None:
    connection.sendall(post("Transfer-Encoding: chunked", path="/v1/evaluations") + b"2\r\n{}\r\n" + end + LIVEZ)

    said = all_on(connection)

    assert (said.count(b"HTTP/1.1 200 "), said.count(b"HTTP/1.1 ")) == (0, 1)
    assert b"\r\nconnection: close\r\n" in said.lower()


def test_a_refused_head_leaves_what_came_before_it_answered(connection: socket.socket) -> None:
    connection.sendall(LIVEZ + LIVEZ + b"GET /livez HTTP/1.1\nHost: here\n\n")

    said = all_on(connection)

    assert [answer[:3] for answer in said.split(b"HTTP/1.1 ")[1:]] == [b"200", b"200", b"400"]


@pytest.mark.parametrize("pieces", [1, 7, len(LIVEZ)], ids=["whole", "in pieces", "byte by byte"])
def test_good_heads_are_answered_one_after_the_other_on_one_connection(connection: socket.socket, pieces: int) -> None:
    size = -(-len(LIVEZ) // pieces)
    for _ in range(3):
        for at in range(0, len(LIVEZ), size):
            connection.sendall(LIVEZ[at : at + size])

        assert answer_on(connection).status == 200


def test_requests_sent_ahead_are_answered_in_order(connection: socket.socket) -> None:
    chunked = post("Transfer-Encoding: chunked") + b"2\r\n{}\r\n0\r\nA: b\r\n\r\n"
    with_length = post("Content-Length: 2") + b"{}"
    connection.sendall(LIVEZ + chunked + LIVEZ + with_length + LIVEZ.replace(b"\r\n\r\n", b"\r\nConnection: close\r\n\r\n"))

    said = all_on(connection)

    assert [answer[:3] for answer in said.split(b"HTTP/1.1 ")[1:]] == [b"200", b"422", b"200", b"422", b"200"]


def test_a_head_that_never_ends_is_told_and_its_connection_closed(connection: socket.socket) -> None:
    begun = time.monotonic()
    connection.sendall(b"GET /livez HTTP/1.1\r\nHost: here\r\n")

    answer = answer_on(connection)

    assert (answer.status, answer.headers["content-type"], answer.headers["connection"]) == (408, PLAIN, "close")
    assert connection.recv(1) == b""
    assert time.monotonic() - begun > 0.9 * HEAD_S


@pytest.mark.parametrize("requests_before", [0, 1])
def test_a_head_that_trickles_is_cut_off_however_often_something_comes(connection: socket.socket, requests_before: int) -> None:
    connection.sendall(LIVEZ * requests_before + LIVEZ[:-2])
    for _ in range(requests_before):
        answer_on(connection)
    connection.settimeout(0.05)
    said, begun = b"", time.monotonic()
    while not said and time.monotonic() - begun < PATIENCE_S:
        connection.sendall(b"A: b\r\n")
        with suppress(TimeoutError):
            said = connection.recv(1000)

    assert said.startswith(b"HTTP/1.1 408 ")


def test_a_connection_on_which_nothing_is_asked_is_closed_without_a_word(connection: socket.socket) -> None:
    assert all_on(connection) == b""


def test_a_connection_that_is_kept_may_rest_for_longer_between_requests(connection: socket.socket) -> None:
    statuses = []
    for wait_s in (0.5 * HEAD_S, 2 * HEAD_S):
        time.sleep(wait_s)
        connection.sendall(LIVEZ)
        statuses.append(answer_on(connection).status)

    assert statuses == [200, 200]


def test_many_heads_that_never_end_are_all_closed_and_others_are_answered_meanwhile(address: str) -> None:
    with ExitStack() as leaving:
        slow = [leaving.enter_context(connected(address)) for _ in range(MANY)]
        for one in slow:
            one.sendall(b"GET /livez HTTP/1.1\r\nX: ")
        other = leaving.enter_context(connected(address))
        other.sendall(LIVEZ)

        answered = answer_on(other).status
        told = [all_on(one)[:12] for one in slow]

    assert (answered, told) == (200, [b"HTTP/1.1 408"] * MANY)


def test_a_body_that_breaks_off_after_its_answer_leaves_no_traceback(tmp_path: Path) -> None:
    with serving(tmp_path, "--no-auth") as (address, process):
        with connected(address) as connection:
            connection.sendall(post("Transfer-Encoding: chunked", path="/none") + b"2\r\n{}\r\n")
            told = connection.recv(12)
            connection.sendall(b"no chunk\r\n")
            rest = all_on(connection)
        process.terminate()
        _, log = process.communicate(timeout=PATIENCE_S)

    assert (told, rest.count(b"HTTP/1.1 "), b"Traceback" in log, b"data_received" in log) == (b"HTTP/1.1 404", 0, False, False)

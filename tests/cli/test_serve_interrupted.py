"""`bondwright serve` and answers that are cut, resumed or given up by callers, and a service that is told to stop more than once.

Whatever is interrupted: nothing is half-written, and the service goes on, or ends in order.
"""

import json
import signal
import socket
import struct
import subprocess
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from urllib.parse import urlsplit
from urllib.request import Request, urlopen

import pytest
from tests.cli.command import HOUSE
from tests.cli.server import PATIENCE_S, answer_on, ask, connected, post, serving, serving_afresh

from bondwright.cli import main

BODY = HOUSE.read_bytes()
MANY = 20
AT_ONCE = struct.pack("ii", 1, 0)
"""Makes closing a socket a reset."""


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """A data folder of its own."""
    return tmp_path / "data"


@pytest.fixture
def address(data: Path) -> Iterator[str]:
    """A server on it."""
    with serving(data, "--no-auth") as (address, _):
        yield address


def evaluated(address: str) -> str:
    """Where an evaluation of a house was recorded."""
    with ask(f"{address}/v1/evaluations", BODY) as answer:
        return f"{address}{answer.headers['location']}"


def recorded(address: str) -> list[int]:
    """The counters of all that is recorded."""
    with ask(f"{address}/v1/evaluations?limit=100") as answer:
        return [one["counter"] for one in json.load(answer)["evaluations"]]


@pytest.mark.parametrize("part", ["bytes=100-", "bytes=0-9", "bytes=-10", "bytes=99999999-"])
def test_a_part_of_a_download_is_not_given_but_the_whole(address: str, part: str) -> None:
    place = evaluated(address)
    with ask(place) as answer:
        whole, tag = answer.read(), answer.headers["etag"]

    with urlopen(Request(place, headers={"Range": part, "If-Range": tag}), timeout=PATIENCE_S) as answer:
        resumed = answer.read()

    assert (answer.status, resumed == whole, answer.headers["accept-ranges"]) == (200, True, None)


def test_a_download_that_is_cut_can_be_asked_for_again_and_is_the_same(address: str) -> None:
    place = urlsplit(evaluated(address) + "/record").path
    heads = b"GET %s HTTP/1.1\r\nHost: here\r\n\r\n" % place.encode()
    for _ in range(5):
        with connected(address) as cut:
            cut.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
            cut.sendall(heads)
            assert cut.recv(1000).startswith(b"HTTP/1.1 200 ")
            cut.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, AT_ONCE)

    with connected(address) as first, connected(address) as second:
        answers = []
        for connection in (first, second):
            connection.sendall(heads)
            answers.append(answer_on(connection).body)

    assert answers[0] == answers[1]
    assert len(answers[0]) > 100_000
    assert len(recorded(address)) == 1


@pytest.mark.parametrize("waits_s", [0, 0.005, 0.05])
def test_a_request_that_its_caller_gives_up_is_recorded_whole_or_not_at_all(data: Path, address: str, waits_s: float) -> None:
    for _ in range(MANY):
        with connected(address) as connection:
            connection.sendall(post(f"Content-Length: {len(BODY)}") + BODY)
            time.sleep(waits_s)
            connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, AT_ONCE)

    evaluated(address)
    counters = recorded(address)
    status = main(["replay", "--all", "--data", str(data)])

    assert counters == list(range(1, len(counters) + 1))
    assert (status, 1 <= len(counters) <= MANY + 1) == (0, True)


def test_a_request_that_was_given_up_and_is_sent_again_under_its_key_is_recorded_once(address: str) -> None:
    request = post(f"Content-Length: {len(BODY)}", "Idempotency-Key: the-same") + BODY
    for _ in range(MANY):
        with connected(address) as connection:
            connection.sendall(request)
            connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, AT_ONCE)

    with connected(address) as connection:
        connection.sendall(request)
        answer = answer_on(connection)

    assert answer.status == 201
    assert recorded(address) == [1]


def test_a_batch_whose_answer_is_cut_leaves_whole_records_and_goes_on_under_its_key(data: Path, address: str) -> None:
    lines = b"\n".join([json.dumps(json.loads(BODY)).encode()] * MANY)
    head = post(f"Content-Length: {len(lines)}", "Idempotency-Key: the-batch", path="/v1/batches")
    request = head.replace(b"application/json", b"application/jsonl") + lines
    with connected(address) as cut:
        cut.sendall(request)
        assert cut.recv(100).startswith(b"HTTP/1.1 200 ")
        cut.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, AT_ONCE)

    with connected(address) as again:
        again.sendall(request)
        *told, end = (json.loads(line) for line in answer_on(again).body.splitlines())

    assert ([line["status"] for line in told], end["recorded"]) == ([201] * MANY, MANY)
    assert recorded(address) == list(range(1, MANY + 1))
    assert main(["replay", "--all", "--data", str(data)]) == 0


def left(process: "subprocess.Popen[bytes]") -> tuple[int, bytes]:
    """The status of a process that ends, and what it said on standard error."""
    _, said = process.communicate(timeout=PATIENCE_S)
    return process.returncode, said


def test_told_to_stop_a_second_time_it_still_answers_what_it_took_on(data: Path) -> None:
    with serving(data, "--no-auth", BONDWRIGHT_FINISH_S="30") as (address, process), connected(address) as connection:
        connection.sendall(post(f"Content-Length: {len(BODY)}") + BODY[:-1])
        time.sleep(0.3)  # until it is being read
        for _ in range(2):
            process.send_signal(signal.SIGTERM)
            time.sleep(0.3)
        connection.sendall(BODY[-1:])
        answer = answer_on(connection)
        status, said = left(process)

    assert (answer.status, answer.headers["connection"], status) == (201, "close", 0)
    assert b"Traceback" not in said
    assert main(["replay", "--all", "--data", str(data)]) == 0


def test_interrupted_a_second_time_it_leaves_at_once_and_the_record_is_whole(data: Path) -> None:
    with serving(data, "--no-auth", BONDWRIGHT_FINISH_S="600") as (address, process), connected(address) as connection:
        evaluated(address)
        connection.sendall(post(f"Content-Length: {len(BODY)}") + BODY[:-1])
        time.sleep(0.3)
        for _ in range(2):
            process.send_signal(signal.SIGINT)
            time.sleep(0.3)
        begun = time.monotonic()
        status, said = left(process)

    assert (status, time.monotonic() - begun < PATIENCE_S / 2) == (0, True)
    assert b"Traceback" not in said
    assert main(["replay", "--all", "--data", str(data)]) == 0


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_told_to_stop_again_and_again_until_it_has_left_it_leaves_in_order(data: Path, number: signal.Signals) -> None:
    with serving_afresh(data, "--no-auth") as (address, process):
        evaluated(address)
        while process.poll() is None:
            process.send_signal(number)
            time.sleep(0.001)
        status, said = left(process)

    assert (status, b"Traceback" in said, b"ignored" in said) == (0, False, False)
    assert [path.name for path in data.iterdir()] == ["record.sqlite"]
    with closing(socket.socket()) as later:
        assert later.connect_ex((urlsplit(address).hostname, urlsplit(address).port)) != 0

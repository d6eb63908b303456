"""Batches over a real connection: an answer that is cut off is noticed, nothing answered is lost, and the rest is done on asking again."""

import hashlib
import json
from contextlib import closing
from http.client import HTTPConnection, IncompleteRead
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from tests.cli.command import HOUSE
from tests.cli.server import PATIENCE_S, serving

LINES = 300
HEADERS = {"Content-Type": "application/jsonl", "Idempotency-Key": "monday"}


def sent(address: str) -> HTTPConnection:
    """A connection on which a batch was sent, all of it before anything is read."""
    place = urlsplit(address)
    connection = HTTPConnection(place.hostname or "", place.port, timeout=PATIENCE_S)
    line = json.dumps(json.loads(HOUSE.read_bytes())).encode()
    connection.request("POST", "/v1/batches", b"\n".join([line] * LINES), HEADERS)
    return connection


def first_lines(address: str, count: int) -> list[dict[str, Any]]:
    """The first lines of the answer; then the caller leaves."""
    with closing(sent(address)) as connection, connection.getresponse() as answer:
        return [json.loads(answer.readline()) for _ in range(count)]


def test_a_caller_who_sends_all_before_reading_gets_every_line(tmp_path: Path) -> None:
    with serving(tmp_path, "--no-auth") as (address, _), closing(sent(address)) as connection:
        answer = connection.getresponse().read()

    before, end = answer[: answer.rindex(b'{"end"')], json.loads(answer.splitlines()[-1])
    assert end == {"end": True, "lines": LINES, "recorded": LINES, "sha256": hashlib.sha256(before).hexdigest()}


def test_what_a_caller_read_before_leaving_is_answered_the_same_again(tmp_path: Path) -> None:
    with serving(tmp_path, "--no-auth") as (address, _):
        read = first_lines(address, 5)
        with closing(sent(address)) as connection:
            *again, end = [json.loads(line) for line in connection.getresponse().read().splitlines()]

    assert again[:5] == read
    assert (len(again), end["recorded"]) == (LINES, LINES)


def test_an_answer_that_the_service_could_not_finish_has_no_end(tmp_path: Path) -> None:
    with serving(tmp_path, "--no-auth") as (address, process), closing(sent(address)) as connection:
        answer = connection.getresponse()
        answer.readline()
        process.kill()

        with pytest.raises((IncompleteRead, ConnectionError)):
            answer.read()

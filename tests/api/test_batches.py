"""Batches: each line its own outcome, none lost, nothing answered before it is recorded, and a cut answer is noticed."""

import asyncio
import hashlib
import json
from collections.abc import Iterator
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON, described, evaluation_in

from bondwright.api.batches import MOST_LINES, BatchEnd, BatchLine
from bondwright.api.problems import MEDIA_TYPE, MOST_BYTES
from bondwright.assembly import Bondwright
from bondwright.assembly.batches import AT_ONCE, evaluated_lines

BATCHES = "/v1/batches"
LINES = {"content-type": "application/jsonl"}
BROKEN, WRONG = b'{"work": ', b'{"work": {"kind": "inspection", "inspected_on": "2026-11-25"}, "services": 3}'


def sent(
    client: TestClient, lines: list[bytes], headers: dict[str, str] | None = None
) -> tuple[list[dict[str, Any]], dict[str, Any], bytes]:
    """The lines of the answer, its last line, and all of its bytes."""
    answer = client.post(BATCHES, content=b"\n".join(lines), headers=LINES | (headers or {}))
    assert (answer.status_code, answer.headers["content-type"]) == (200, "application/jsonl")
    *told, end = [json.loads(line) for line in answer.content.splitlines()]
    return told, end, answer.content


def recorded(client: TestClient) -> int:
    """How many evaluations are recorded."""
    return len(client.get(EVALUATIONS, params={"limit": 100}).json()["evaluations"])


def test_each_line_has_its_own_outcome_in_order(client: TestClient) -> None:
    told, end, _ = sent(client, [HOUSE, BROKEN, WRONG, HOUSE])

    assert [(line["line"], line["status"]) for line in told] == [(1, 201), (2, 400), (3, 422), (4, 201)]
    assert [fault["pointer"] for fault in told[2]["problem"]["errors"]] == ["/services"]
    assert (end["lines"], end["recorded"], recorded(client)) == (4, 2, 2)


def test_a_line_is_what_a_single_request_is_answered(client: TestClient) -> None:
    _, _, answer = sent(client, [HOUSE])
    (line, _) = answer.splitlines()

    single = client.get(f"{EVALUATIONS}/{json.loads(line)['evaluation_id']}").content

    assert line == b'{"line":1,"status":201,' + single[1:]
    assert evaluation_in(client.post(EVALUATIONS, content=HOUSE, headers=JSON).content) == evaluation_in(line)


def test_a_refused_line_is_told_as_a_single_request_is(client: TestClient) -> None:
    (line,), _, _ = sent(client, [WRONG])

    single = client.post(EVALUATIONS, content=WRONG, headers=JSON).json()

    assert line["problem"] == {name: value for name, value in single.items() if name != "request_id"}


def test_the_end_has_the_digest_of_all_before_it(client: TestClient) -> None:
    _, end, answer = sent(client, [HOUSE, BROKEN])

    before = answer[: answer.rindex(b"\n", 0, len(answer) - 1) + 1]
    assert end == {"end": True, "lines": 2, "recorded": 1, "sha256": hashlib.sha256(before).hexdigest()}


def test_lines_are_of_the_declared_shape(client: TestClient) -> None:
    told, end, _ = sent(client, [HOUSE, BROKEN])

    assert all(set(line) <= set(BatchLine.__dataclass_fields__) for line in told)
    assert set(end) == set(BatchEnd.__dataclass_fields__)


@pytest.mark.parametrize("ending", [b"", b"\n", b"\r\n"])
def test_the_last_line_may_end_or_not(client: TestClient, ending: bytes) -> None:
    _, end, _ = sent(client, [HOUSE.replace(b"\n", b"") + ending])

    assert (end["lines"], end["recorded"]) == (1, 1)


def test_an_empty_line_between_is_refused_and_keeps_its_number(client: TestClient) -> None:
    told, end, _ = sent(client, [HOUSE, b"", HOUSE])

    assert ([line["status"] for line in told], end["lines"]) == ([201, 400, 201], 3)


def test_a_batch_of_no_lines_is_answered_by_its_end(client: TestClient) -> None:
    assert sent(client, [b""])[:2] == ([], {"end": True, "lines": 0, "recorded": 0, "sha256": hashlib.sha256(b"").hexdigest()})


def test_a_line_that_is_too_long_is_refused_alone(client: TestClient) -> None:
    told, _, _ = sent(client, [HOUSE, b'{"reference": "' + b"x" * MOST_BYTES * 2 + b'"}', HOUSE])

    assert [line["status"] for line in told] == [201, 413, 201]


def test_who_prefers_a_minimal_answer_gets_an_outline_a_line(client: TestClient) -> None:
    told, end, _ = sent(client, [HOUSE, BROKEN, HOUSE], {"Prefer": "return=minimal"})
    outlined = [line for line in told if line["status"] == 201]
    read = [client.get(f"{EVALUATIONS}/{line['evaluation_id']}/outline").json() for line in outlined]

    assert [{name: member for name, member in line.items() if name not in ("line", "status")} for line in outlined] == read
    assert ([line["status"] for line in told], end["recorded"]) == ([201, 400, 201], 2)


@pytest.mark.parametrize(("preferred", "applied"), [("return=minimal", "return=minimal"), ("return=representation", None)])
def test_a_batch_says_what_was_preferred(client: TestClient, preferred: str, applied: str | None) -> None:
    answer = client.post(BATCHES, content=HOUSE, headers={"content-type": "application/jsonl", "Prefer": preferred})

    assert (answer.headers.get("preference-applied"), answer.headers["vary"]) == (applied, "Prefer, Accept-Encoding")


def test_sent_again_under_its_key_the_same_lines_are_answered_the_same(client: TestClient) -> None:
    key = {"Idempotency-Key": "monday"}
    first = sent(client, [HOUSE, BROKEN, HOUSE], key)

    again = sent(client, [HOUSE, BROKEN, HOUSE], key)

    assert again == first
    assert recorded(client) == 2


def test_a_batch_that_was_cut_off_is_finished_under_its_key(client: TestClient) -> None:
    key = {"Idempotency-Key": "monday"}
    (first,), _, _ = sent(client, [HOUSE], key)

    whole, end, _ = sent(client, [HOUSE, HOUSE], key)

    assert (whole[0], end["recorded"], recorded(client)) == (first, 2, 2)


def test_another_line_under_the_same_key_is_refused_alone(client: TestClient) -> None:
    key = {"Idempotency-Key": "monday"}
    sent(client, [HOUSE, HOUSE], key)

    told, _, _ = sent(client, [described(reference="another"), HOUSE], key)

    assert [line["status"] for line in told] == [409, 201]


@pytest.mark.parametrize(
    ("accept", "written_as"),
    [
        ("*/*", "application/jsonl"),
        ("application/octet-stream, application/jsonl;q=0.1", "application/jsonl"),
        ("application/octet-stream", "application/octet-stream"),
    ],
)
def test_clients_that_know_no_json_lines_send_and_get_bytes(client: TestClient, accept: str, written_as: str) -> None:
    as_bytes = {"content-type": "application/octet-stream", "accept": accept}

    answer = client.post(BATCHES, content=HOUSE, headers=as_bytes)

    assert (answer.status_code, answer.headers["content-type"]) == (200, written_as)
    assert [json.loads(line).get("status") for line in answer.content.splitlines()] == [201, None]


def test_who_accepts_neither_lines_nor_bytes_is_refused(client: TestClient) -> None:
    assert client.post(BATCHES, content=HOUSE, headers=LINES | {"accept": "application/json"}).status_code == 406


@pytest.mark.parametrize(
    ("content", "content_type", "status"),
    [
        (HOUSE, "application/json", 415),
        (HOUSE, "", 415),
        (b"{}\n" * (MOST_LINES + 1), "application/jsonl", 413),
    ],
)
def test_what_is_no_batch_is_refused_as_a_whole(client: TestClient, content: bytes, content_type: str, status: int) -> None:
    answer = client.post(BATCHES, content=content, headers={"content-type": content_type})

    assert (answer.status_code, answer.headers["content-type"]) == (status, MEDIA_TYPE)


def test_only_so_many_lines_are_in_hand_at_once(bondwright: Bondwright) -> None:
    taken = 0

    def lines() -> Iterator[bytes]:
        nonlocal taken
        for _ in range(AT_ONCE * 3):
            taken += 1
            yield HOUSE

    async def ahead() -> list[int]:
        return [taken - outcome.line async for outcome in evaluated_lines(bondwright, lines(), MOST_BYTES, "local")]

    assert max(asyncio.run(ahead())) == AT_ONCE - 1


def test_who_stops_reading_stops_the_work(bondwright: Bondwright) -> None:
    async def first_of_many() -> int:
        outcomes = evaluated_lines(bondwright, [HOUSE] * AT_ONCE * 3, MOST_BYTES, "local")
        async for outcome in outcomes:
            await outcomes.aclose()  # type: ignore[attr-defined]  # an async generator has it
            return outcome.line
        return 0

    assert asyncio.run(first_of_many()) == 1

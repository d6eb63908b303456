"""What a caller meets when evaluating: the answer, its record, and every way of being refused."""

import json
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON, described, evaluation_in, service
from tests.declared import declared

from bondwright.api.app import create_app
from bondwright.api.problems import MEDIA_TYPE, MOST_BYTES
from bondwright.assembly import Bondwright
from bondwright.compose.written.writing import evaluation_bytes
from bondwright.engine.compiled import Fired
from bondwright.engine.durable import DurableChannel
from bondwright.engine.group import BuildChannel
from bondwright.rulebook.pack import PackHead

CANARY = "canary-7f3"


def records_in(record_file: Path) -> list[tuple[Any, ...]]:
    """Id, input and evaluation of every record, read by a connection of its own."""
    if not record_file.exists():
        return []
    connection = sqlite3.connect(f"file:{record_file}?mode=ro", uri=True)
    rows = connection.execute("SELECT evaluation_id, input_bytes, evaluation_bytes FROM record").fetchall()
    connection.close()
    return rows


def test_an_evaluation_is_answered_with_201_and_where_to_read_it(client: TestClient) -> None:
    answer = client.post(EVALUATIONS, content=HOUSE, headers=JSON)

    assert answer.status_code == 201
    assert answer.headers["location"] == f"{EVALUATIONS}/{answer.json()['evaluation_id']}"


def test_the_answer_names_the_rule_pack_in_a_header(client: TestClient) -> None:
    answer = client.post(EVALUATIONS, content=HOUSE, headers=JSON)

    assert answer.headers["rule-pack"] == answer.json()["evaluation"]["pack"]["pack_id"]


def test_the_answer_is_a_recorded_evaluation(client: TestClient) -> None:
    answer = client.post(EVALUATIONS, content=HOUSE, headers=JSON)

    recorded = answer.json()
    assert list(declared("RecordedEvaluation").iter_errors(recorded)) == []
    assert recorded["recorded_at"] == "2026-11-25T09:30:00.000Z"
    assert recorded["evaluation"] == json.loads(evaluation_in(answer.content))


def test_the_evaluation_stands_in_the_answer_as_it_was_built(client: TestClient, bondwright: Bondwright) -> None:
    answer = client.post(EVALUATIONS, content=HOUSE, headers=JSON)

    assert evaluation_in(answer.content) == evaluation_bytes(bondwright.evaluate(HOUSE).evaluation)


def test_an_evaluation_reads_back_in_the_bytes_in_which_it_was_answered(client: TestClient) -> None:
    answer = client.post(EVALUATIONS, content=HOUSE, headers=JSON)

    again = client.get(answer.headers["location"])

    assert again.status_code == 200
    assert again.content == answer.content
    assert again.headers["rule-pack"] == answer.headers["rule-pack"]


def test_an_evaluation_keeps_its_entity_tag(client: TestClient) -> None:
    place = client.post(EVALUATIONS, content=HOUSE, headers=JSON).headers["location"]

    tags = {client.get(place).headers["etag"] for _ in range(2)}

    assert len(tags) == 1


def test_an_evaluation_survives_the_end_of_the_process(packs: tuple[PackHead, ...], record_file: Path) -> None:
    first = service(packs, record_file)
    answer = TestClient(create_app(first)).post(EVALUATIONS, content=HOUSE, headers=JSON)
    first.close()

    second = service(packs, record_file)
    again = TestClient(create_app(second)).get(answer.headers["location"])
    second.close()

    assert again.content == answer.content


def test_the_same_description_gives_the_same_evaluation_under_another_id(client: TestClient) -> None:
    first, second = (client.post(EVALUATIONS, content=HOUSE, headers=JSON) for _ in range(2))

    assert first.json()["evaluation_id"] != second.json()["evaluation_id"]
    assert evaluation_in(first.content) == evaluation_in(second.content)


def test_the_record_is_in_the_file_when_the_answer_is_there(client: TestClient, record_file: Path) -> None:
    answer = client.post(EVALUATIONS, content=HOUSE, headers=JSON)

    assert records_in(record_file) == [(answer.json()["evaluation_id"], HOUSE, evaluation_in(answer.content))]


@pytest.mark.parametrize(
    ("raw", "status"),
    [
        (b'{"work": 1, "work": 2}', 400),
        (b"\xef\xbb\xbf" + HOUSE, 400),
        (HOUSE.decode().encode("utf-16"), 400),
        (described(supply={"cut_out_rating_a": float("nan")}), 400),
        (b"", 400),
        (b"[]", 422),
        (HOUSE.replace(b"25,", b"1e400,"), 422),
        (described(supply={"cut_out_rating_a": None}), 422),
        (described(items=[{"kind": "tap", "id": "a"}, {"kind": "tap", "id": "a"}]), 409),
    ],
)
def test_a_refusal_is_a_problem_and_records_nothing(client: TestClient, record_file: Path, raw: bytes, status: int) -> None:
    answer = client.post(EVALUATIONS, content=raw, headers=JSON)

    assert (answer.status_code, answer.headers["content-type"]) == (status, MEDIA_TYPE)
    assert answer.json()["status"] == status
    assert answer.json()["errors"] != []
    assert records_in(record_file) == []


def test_a_fault_says_where_and_what_would_be_right(client: TestClient) -> None:
    services = [
        {"kind": "gas", "enters_az": "steel", "insulating_section": {"length_m": -1}, "bonds": [{"on": "entering_pipe", "size": "10"}]}
    ]

    answer = client.post(EVALUATIONS, content=described(services=services, survey_complete=None), headers=JSON)

    assert [error["pointer"] for error in answer.json()["errors"]] == [
        "/services/0/bonds/0/size",
        "/services/0/enters_az",
        "/services/0/insulating_section/length_m",
        "/survey_complete",
    ]
    assert "did you mean `enters_as`?" in answer.json()["errors"][1]["detail"]
    assert "write `unknown`" in answer.json()["errors"][3]["detail"]


def test_no_answer_to_a_faulty_request_repeats_the_caller_s_values(client: TestClient) -> None:
    requests = [
        CANARY.encode(),
        json.dumps(CANARY).encode(),
        f'{{"{CANARY}": 1, "{CANARY}": 2}}'.encode(),
        json.dumps({"work": {"kind": CANARY, "inspected_on": CANARY}}).encode(),
        described(reference="é" + CANARY, supply=CANARY, services=[CANARY, {"kind": CANARY, "bonds": [{"size": CANARY}]}], items=CANARY),
        described(items=[{"kind": "tap", "id": CANARY}, {"kind": "tap", "id": CANARY}]),
    ]

    answers = [client.post(EVALUATIONS, content=raw, headers=JSON) for raw in requests]

    assert {answer.status_code for answer in answers} == {400, 409, 422}
    assert [answer.text for answer in answers if CANARY in answer.text] == []


@pytest.mark.parametrize("content_type", ["text/plain", "application/xml", "application/x-www-form-urlencoded", ""])
def test_another_media_type_is_refused(client: TestClient, content_type: str) -> None:
    answer = client.post(EVALUATIONS, content=HOUSE, headers={"content-type": content_type})

    assert (answer.status_code, answer.headers["content-type"]) == (415, MEDIA_TYPE)


def test_json_may_name_its_encoding(client: TestClient) -> None:
    answer = client.post(EVALUATIONS, content=HOUSE, headers={"content-type": "Application/JSON; charset=utf-8"})

    assert answer.status_code == 201


def test_a_body_of_announced_length_beyond_the_limit_is_refused(client: TestClient) -> None:
    answer = client.post(EVALUATIONS, content=b" " * (MOST_BYTES + 1), headers=JSON)

    assert (answer.status_code, answer.headers["content-type"]) == (413, MEDIA_TYPE)


def test_a_small_body_that_describes_too_many_lengths_is_refused(client: TestClient) -> None:
    main: list[dict[str, object]] = [{"branches": [{"sections": [{}] * 3}] * 10}] * 30

    answer = client.post(EVALUATIONS, content=described(detailed_services=[{"kind": "water", "sections": main}]), headers=JSON)

    assert (answer.status_code, answer.headers["content-type"]) == (413, MEDIA_TYPE)


def test_a_body_in_pieces_beyond_the_limit_is_refused(client: TestClient) -> None:
    def pieces() -> Iterator[bytes]:
        yield from [b" " * (MOST_BYTES // 2)] * 3

    answer = client.post(EVALUATIONS, content=pieces(), headers=JSON)

    assert (answer.status_code, answer.headers["content-type"]) == (413, MEDIA_TYPE)


def test_a_body_of_just_the_limit_is_read(client: TestClient) -> None:
    answer = client.post(EVALUATIONS, content=HOUSE.ljust(MOST_BYTES), headers=JSON)

    assert answer.status_code == 201


class LyingChannel(DurableChannel):
    """An engine that fires one rule too many."""

    def __call__(self, rows: Any) -> list[Fired]:
        """See DurableChannel."""
        return [one._replace(at_worst=one.at_worst | {"never-written"}) for one in super().__call__(rows)]


class LenientChannel(DurableChannel):
    """An engine that takes a rule for one that may act where it does not, so that less seems firm."""

    def __call__(self, rows: Any) -> list[Fired]:
        """See DurableChannel."""
        return [one._replace(at_least=one.at_least | {"never-written"}) for one in super().__call__(rows)]


@pytest.mark.parametrize("channel", [LyingChannel, LenientChannel])
def test_no_verdict_is_given_or_recorded_when_the_channels_differ(
    packs: tuple[PackHead, ...], record_file: Path, caplog: pytest.LogCaptureFixture, channel: BuildChannel
) -> None:
    lying = service(packs, record_file, channel)

    answer = TestClient(create_app(lying)).post(EVALUATIONS, content=HOUSE, headers=JSON)
    lying.close()

    assert (answer.status_code, answer.headers["content-type"]) == (500, MEDIA_TYPE)
    assert answer.json()["type"] == "/problems/engine-disagreement"
    assert records_in(record_file) == []
    assert packs[-1].pack_id in caplog.text


class BrokenChannel(DurableChannel):
    """An engine with a mistake in it."""

    def __call__(self, rows: Any) -> list[Fired]:
        """See DurableChannel."""
        raise ZeroDivisionError(CANARY, rows)


def test_an_unforeseen_fault_is_a_problem_that_tells_nothing(packs: tuple[PackHead, ...], record_file: Path) -> None:
    broken = service(packs, record_file, BrokenChannel)

    answer = TestClient(create_app(broken), raise_server_exceptions=False).post(EVALUATIONS, content=HOUSE, headers=JSON)
    broken.close()

    assert (answer.status_code, answer.headers["content-type"]) == (500, MEDIA_TYPE)
    assert CANARY not in answer.text

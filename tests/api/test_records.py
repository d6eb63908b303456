"""What is recorded can be found, shown whole and replayed over HTTP."""

import asyncio
import hashlib
import json
import re
import sqlite3
from base64 import b64decode
from pathlib import Path
from typing import Any

import pytest
from pydantic import TypeAdapter
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON, described, evaluation_in, service
from tests.declared import declared
from tests.opened import in_place

from bondwright.api.app import create_app
from bondwright.api.problems import MEDIA_TYPE
from bondwright.api.records import EvaluationList, ReplayAnswer
from bondwright.assembly import Bondwright
from bondwright.compose.answer import FORM
from bondwright.members import replace
from bondwright.rulebook.pack import PackHead

OTHER = described(reference="Other Lane 1", work={"kind": "alteration", "designed_on": "2019-06-01"})
TWO_EDITIONS = described(
    work={"kind": "alteration", "designed_on": "2026-06-01"}, services=[{"kind": "gas", "comes_from": "ground", "enters_as": "steel"}]
)
"""Work on a day on which two editions are lawful."""


def recorded(bondwright: Bondwright, *descriptions: bytes) -> list[str]:
    """The ids under which descriptions are recorded, in order."""
    return [asyncio.run(bondwright.submit(raw)).evaluation_id for raw in descriptions]


def found(client: TestClient, **asked: str) -> list[str]:
    """The ids that a search finds on its first page."""
    return [one["evaluation_id"] for one in client.get(EVALUATIONS, params=asked).json()["evaluations"]]


def first_reason(evaluation: dict[str, Any]) -> dict[str, Any]:
    """A reason of the first part's first verdict."""
    reason: dict[str, Any] = evaluation["parts"][0]["verdicts"][0]["because"][0]
    return reason


def changed(record_file: Path, column: str, value: bytes) -> None:
    """Changes a column of every record behind the service's back, with fitting digests; only raw SQL without triggers can."""
    connection = sqlite3.connect(record_file, isolation_level=None)
    connection.execute("DROP TRIGGER record_never_update")
    connection.execute(f"UPDATE record SET {column} = ?", (value,))
    if column == "evaluation_bytes":
        connection.execute("UPDATE record SET evaluation_digest = ?", (hashlib.sha256(value).hexdigest(),))
    connection.close()


def test_an_evaluation_is_found_by_everything_it_says(client: TestClient, bondwright: Bondwright) -> None:
    house, other = recorded(bondwright, HOUSE, OTHER)
    evaluation = in_place(client.get(f"{EVALUATIONS}/{house}").json()["evaluation"])
    reason, verdict = first_reason(evaluation), evaluation["parts"][0]["verdicts"][0]

    ways: list[dict[str, str]] = [
        {"reference": "Sandpiper Row 3"},
        {"pack": evaluation["pack"]["pack_id"]},
        {"pack": evaluation["pack"]["digest"]},
        {"rule": reason["rule"], "pack": reason["pack_id"]},
        {"rule": reason["rule"], "reference": "Sandpiper Row 3"},
        {"clause": reason["clause"], "pack": reason["pack_id"]},
        {"outcome": verdict["outcome"], "worst_case": verdict["worst_case"], "pack": reason["pack_id"]},
        {"recorded_from": "2026-11-25", "recorded_to": "2026-11-26", "reference": "Sandpiper Row 3"},
    ]

    assert [found(client, **way) for way in ways] == [[house]] * len(ways)
    assert found(client) == [house, other]


def test_a_summary_is_what_the_evaluation_says(client: TestClient, bondwright: Bondwright) -> None:
    (house,) = recorded(bondwright, HOUSE)
    evaluation = client.get(f"{EVALUATIONS}/{house}").json()

    answer = client.get(EVALUATIONS)

    TypeAdapter(EvaluationList).validate_json(answer.content)
    assert answer.json()["next"] is None
    assert answer.json()["evaluations"] == [
        {
            "evaluation_id": house,
            "recorded_at": evaluation["recorded_at"],
            "reference": "Sandpiper Row 3",
            "pack_id": evaluation["evaluation"]["pack"]["pack_id"],
            "day": "2026-11-25",
            "counter": 1,
            "rests_on_withdrawn": False,
        }
    ]


def test_following_the_links_shows_everything_once_while_more_is_recorded(client: TestClient, bondwright: Bondwright) -> None:
    ids = recorded(bondwright, *[HOUSE] * 5)
    seen: list[str] = []
    place: str | None = f"{EVALUATIONS}?reference=Sandpiper+Row+3&limit=2"

    while place:
        answer = client.get(place)
        seen += [one["evaluation_id"] for one in answer.json()["evaluations"]]
        told = re.fullmatch(r'<(.*)>; rel="next"', answer.headers.get("link", ""))
        assert (told is None) == (answer.json()["next"] is None)
        place = told[1] if told else None
        if len(ids) < 6:
            ids += recorded(bondwright, HOUSE)

    assert seen == ids


@pytest.mark.parametrize(
    ("query", "status", "place"),
    [
        ("limit=0", 422, "/limit"),
        ("limit=101", 422, "/limit"),
        ("limit=many", 422, "/limit"),
        ("after=2", 422, "/after"),
        ("after=ffffffffffffffff", 422, "/after"),
        ("recorded_from=yesterday", 422, "/recorded_from"),
        ("recorded_to=2026-13-01", 422, "/recorded_to"),
        ("recorded_from=2026-02-29", 422, "/recorded_from"),
        ("recorded_from=2026-02-31T09:30:00.000Z", 422, "/recorded_from"),
        ("recorded_to=2026-04-31", 422, "/recorded_to"),
        ("recorded_to=1900-02-29", 422, "/recorded_to"),
        ("recorded_to=0000-01-01", 422, "/recorded_to"),
        ("rule=a&rule=b", 422, "/rule"),
        ("rules=a", 422, "/rules"),
        ("outcome=main", 409, "/worst_case"),
        ("worst_case=main", 409, "/outcome"),
    ],
)
def test_a_wrong_parameter_is_a_problem_at_its_place(client: TestClient, query: str, status: int, place: str) -> None:
    answer = client.get(f"{EVALUATIONS}?{query}")

    assert (answer.status_code, answer.headers["content-type"]) == (status, MEDIA_TYPE)
    assert [error["pointer"] for error in answer.json()["errors"]] == [place]


@pytest.mark.parametrize("day", ["2026-02-28", "2028-02-29", "2000-02-29", "2026-04-30", "2026-12-31T23:59:59.999Z", "0001-01-01"])
def test_a_day_that_the_calendar_has_is_taken(client: TestClient, day: str) -> None:
    assert client.get(EVALUATIONS, params={"recorded_from": day, "recorded_to": day}).status_code == 200


def test_a_day_that_does_not_exist_is_told_with_what_to_write(client: TestClient) -> None:
    (fault,) = client.get(EVALUATIONS, params={"recorded_from": "2026-02-31"}).json()["errors"]

    assert fault == {"pointer": "/recorded_from", "detail": "there is no such day; write one that the calendar has, such as 2026-11-25"}


def test_the_record_holds_what_was_sent_and_the_pack_as_it_stood(client: TestClient, bondwright: Bondwright) -> None:
    answer = client.post(EVALUATIONS, content=HOUSE, headers=JSON)

    record = client.get(f"{answer.headers['location']}/record")

    told = record.json()
    assert list(declared("RecordInFull").iter_errors(told)) == []
    pack = bondwright.pack(answer.headers["rule-pack"])
    assert told["input"] == {"digest": hashlib.sha256(HOUSE).hexdigest(), "text": HOUSE.decode(), "base64": None}
    assert told["rule_pack"]["content"] == {"digest": pack.digest, "text": pack.text.decode(), "base64": None}
    assert hashlib.sha256(evaluation_in(record.content)).hexdigest() == told["evaluation_digest"]
    assert evaluation_in(record.content) == evaluation_in(answer.content)


def test_an_input_that_is_no_text_is_shown_in_base64(client: TestClient, bondwright: Bondwright, record_file: Path) -> None:
    (house,) = recorded(bondwright, HOUSE)
    changed(record_file, "input_bytes", b"\xff\x00")

    told = client.get(f"{EVALUATIONS}/{house}/record").json()["input"]

    assert (told["text"], b64decode(told["base64"])) == (None, b"\xff\x00")


@pytest.mark.parametrize("raw", [HOUSE, OTHER, described()])
def test_a_replay_gives_the_same_bytes(client: TestClient, bondwright: Bondwright, raw: bytes) -> None:
    (one,) = recorded(bondwright, raw)

    answer = client.post(f"{EVALUATIONS}/{one}/replay")

    told = TypeAdapter(ReplayAnswer).validate_json(answer.content)
    assert (told.form_then, told.form_now, told.same_bytes, told.same_levels) == (FORM, FORM, "same", True)
    assert (told.difference, told.not_evaluated, told.published_since, told.not_at_hand) == (None, None, (), ())


def test_a_replay_of_an_answer_that_names_other_packs_gives_the_same_bytes(bondwright: Bondwright) -> None:
    (one,) = recorded(bondwright, TWO_EDITIONS)

    assert bondwright.evaluate(TWO_EDITIONS).evaluation.pack.also_usable != ()
    assert bondwright.replay(one).same_bytes == "same"


def test_a_replay_records_nothing(client: TestClient, bondwright: Bondwright) -> None:
    (house,) = recorded(bondwright, HOUSE)

    client.post(f"{EVALUATIONS}/{house}/replay")

    assert found(client) == [house]


def test_a_replay_needs_no_published_pack(bondwright: Bondwright, record_file: Path) -> None:
    (one,) = recorded(bondwright, TWO_EDITIONS)
    named = tuple(other.pack_id for other in bondwright.evaluate(TWO_EDITIONS).evaluation.pack.also_usable)
    alone = service((), record_file)

    replay = alone.replay(one)
    alone.close()

    assert (replay.same_bytes, replay.not_at_hand, replay.published_since) == ("same", named, ())
    assert named != ()


def test_packs_that_answers_name_are_asked_again_from_the_record_where_they_are_published_no_more(
    bondwright: Bondwright, record_file: Path
) -> None:
    (one,) = recorded(bondwright, TWO_EDITIONS)
    for other in bondwright.evaluate(TWO_EDITIONS).evaluation.pack.also_usable:
        recorded(bondwright, described(rule_pack=other.pack_id))
    alone = service((), record_file)

    replay = alone.replay(one)
    alone.close()

    assert (replay.same_bytes, replay.not_at_hand) == ("same", ())


def test_packs_published_since_are_named_and_are_no_difference(packs: tuple[PackHead, ...], record_file: Path) -> None:
    everything = service(packs, record_file)
    pack = everything.evaluate(TWO_EDITIONS).evaluation.pack
    everything.close()
    since = {other.pack_id for other in pack.also_usable}
    earlier = service([one for one in packs if one.pack_id == pack.pack_id], record_file)
    (house,) = recorded(earlier, TWO_EDITIONS)
    earlier.close()
    later = service(packs, record_file)

    replay = later.replay(house)
    later.close()

    assert (replay.same_bytes, set(replay.published_since)) == ("same", since)
    assert since != set()


def test_a_changed_answer_is_told_with_its_first_difference(client: TestClient, bondwright: Bondwright, record_file: Path) -> None:
    (house,) = recorded(bondwright, HOUSE)
    evaluation = json.loads(evaluation_in(client.get(f"{EVALUATIONS}/{house}").content))
    was = evaluation["parts"][1]["act"]
    evaluation["parts"][1]["act"] = "forged"
    changed(record_file, "evaluation_bytes", json.dumps(evaluation, separators=(",", ":"), ensure_ascii=False).encode())

    told = client.post(f"{EVALUATIONS}/{house}/replay").json()

    assert (told["same_bytes"], told["same_levels"]) == ("different", True)
    assert told["difference"] == {"pointer": "/parts/1/act", "was": '"forged"', "now": json.dumps(was)}


def test_a_description_that_is_refused_today_is_told_as_not_evaluated(bondwright: Bondwright, record_file: Path) -> None:
    (house,) = recorded(bondwright, HOUSE)
    changed(record_file, "input_bytes", b"[]")

    replay = bondwright.replay(house)

    assert (replay.same_bytes, replay.same_levels, replay.difference) == (None, None, None)
    assert replay.not_evaluated


def test_a_replay_tells_the_versions_then_and_now(bondwright: Bondwright, record_file: Path) -> None:
    (house,) = recorded(bondwright, HOUSE)
    changed(record_file, "versions", '{"service":"0.0.9"}')  # type: ignore[arg-type]

    replay = bondwright.replay(house)

    assert (replay.versions_then, replay.versions_now) == ({"service": "0.0.9"}, {"service": "0.1.0"})


def test_a_replay_reads_the_pack_that_the_record_keeps(packs: tuple[PackHead, ...], record_file: Path) -> None:
    first = service(packs, record_file)
    (house,) = recorded(first, HOUSE)
    first.close()
    judging = [pack for pack in packs if pack.pack_id.startswith("bs7671-2018-a4-")]
    emptied = service([replace(pack.whole(), rules=()) if pack in judging else pack for pack in packs], record_file)

    with TestClient(create_app(emptied)) as client:
        told = client.post(f"{EVALUATIONS}/{house}/replay").json()
    emptied.close()

    assert told["same_bytes"] == "same"

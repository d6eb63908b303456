"""Calculations over HTTP: each has its own path and schema, answers as on the command line, and refuses with the place and the range."""

import json
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.api.builders import JSON

from bondwright.api.problems import MEDIA_TYPE
from bondwright.assembly import Bondwright
from bondwright.assembly.judging import Judge
from bondwright.calculations.answer import answer_bytes
from bondwright.calculations.catalogue import CALCULATIONS
from bondwright.engine.channels import TwoChannels
from bondwright.rulebook.memory import Kept

CALCULATE = "/v1/calculations"
READING = f"{CALCULATE}/isolation-reading"


def test_every_calculation_is_listed_with_the_schema_of_its_inputs(client: TestClient) -> None:
    listed = client.get(CALCULATE).json()["calculations"]
    document = client.get("/openapi.json").json()

    assert [one["name"] for one in listed] == list(CALCULATIONS)
    assert [one["inputs"] for one in listed if one["inputs"] not in document["components"]["schemas"]] == []
    assert [one["name"] for one in listed if f"{CALCULATE}/{one['name']}" not in document["paths"]] == []


def test_the_list_and_the_document_say_what_the_newest_pack_does(client: TestClient, bondwright: Bondwright) -> None:
    listed = {one["name"]: one for one in client.get(CALCULATE).json()["calculations"]}
    paths = client.get("/openapi.json").json()["paths"]
    newest = bondwright.calculate("isolation-limit", b"{}")

    assert (newest.title, list(newest.validity)) == (listed["isolation-limit"]["title"], listed["isolation-limit"]["validity"])
    for name, one in listed.items():
        operation = paths[f"{CALCULATE}/{name}"]["post"]
        assert operation["summary"] == one["title"]
        assert operation["description"].endswith("\n\n".join(("", *one["validity"]))), name


def test_calculations_are_listed_where_no_pack_is_published() -> None:
    title = CALCULATIONS["open-pen"].title(Judge((), lambda pack: TwoChannels(pack, Kept())).say)

    assert title == "Voltages behind a broken PEN"


def test_an_answer_has_result_working_sources_and_limits(client: TestClient) -> None:
    answer = client.post(READING, content=b'{"measured_ohm": 7000}', headers=JSON)

    body = answer.json()
    assert (answer.status_code, answer.headers["rule-pack"]) == (200, body["pack_id"])
    assert [one["name"] for one in body["results"]] == ["limit"]
    assert body["working"] and body["sources"] and body["validity"] and body["cautions"]
    assert body["judgements"][0]["word"] == "below"


def test_http_and_the_service_give_the_same_bytes(client: TestClient, bondwright: Bondwright) -> None:
    raw = b'{"measured_ohm": 150000, "rule_pack": "bs7671-2018-a2-r11"}'

    assert client.post(READING, content=raw, headers=JSON).content == answer_bytes(bondwright.calculate("isolation-reading", raw))


def refused(client: TestClient, name: str, inputs: Any) -> tuple[int, list[tuple[str, str]]]:
    """The status of a refusal, and its faults."""
    answer = client.post(f"{CALCULATE}/{name}", content=json.dumps(inputs).encode(), headers=JSON)
    assert answer.headers["content-type"] == MEDIA_TYPE
    return answer.status_code, [(fault["pointer"], fault["detail"]) for fault in answer.json()["errors"]]


def test_a_number_out_of_range_is_refused_with_the_range(client: TestClient) -> None:
    assert refused(client, "greatest-length", {"size_mm2": 10, "resistance_limit_ohm": -3}) == (
        422,
        [("/resistance_limit_ohm", "write a number from 0 to 1000000000, in ohm")],
    )


def test_an_input_left_out_that_is_needed_here_is_named(client: TestClient) -> None:
    status, ((pointer, detail),) = refused(client, "main-bond-size", {"pme_conditions": "apply"})

    assert (status, pointer) == (409, "/neutral_mm2")
    assert detail.startswith("needed for this calculation")


def test_a_rule_pack_that_is_not_published_is_refused(client: TestClient) -> None:
    status, ((pointer, _),) = refused(client, "isolation-limit", {"rule_pack": "bs7671-1900-r1"})

    assert (status, pointer) == (409, "/rule_pack")


def test_a_rule_pack_without_the_tables_is_refused_at_its_place(client: TestClient) -> None:
    """The first revisions were published before there were reference tables."""
    status, faults = refused(client, "operating-current", {"device": "bs3036", "rated_a": 45, "rule_pack": "bs7671-2018-a4-r1"})

    assert (status, [pointer for pointer, _ in faults]) == (409, ["/rule_pack"])


def test_every_whole_example_is_answered(client: TestClient) -> None:
    examples = [(name, example) for name, one in CALCULATIONS.items() for example in one.inputs.model_json_schema().get("examples", ())]

    answers = [client.post(f"{CALCULATE}/{name}", content=json.dumps(example).encode(), headers=JSON) for name, example in examples]

    assert examples != []
    assert [answer.text for answer in answers if answer.status_code != 200] == []


def test_a_calculation_that_nobody_knows_is_not_found(client: TestClient) -> None:
    assert client.post(f"{CALCULATE}/cable-price", content=b"{}", headers=JSON).status_code == 404


@pytest.mark.parametrize("name", CALCULATIONS)
def test_an_unknown_input_is_refused_and_not_repeated(client: TestClient, name: str) -> None:
    answer = client.post(f"{CALCULATE}/{name}", content=b'{"canary": "canary-7f3"}', headers=JSON)

    assert answer.status_code == 422
    assert "canary" not in answer.text
    assert [fault["pointer"] for fault in answer.json()["errors"] if "holds an unknown key" in fault["detail"]] == [""]


@pytest.mark.parametrize("name", CALCULATIONS)
def test_every_calculation_wants_json(client: TestClient, name: str) -> None:
    assert client.post(f"{CALCULATE}/{name}", content=b"{}", headers={"content-type": "text/plain"}).status_code == 415

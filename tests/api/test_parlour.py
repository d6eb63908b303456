"""A place that files alone declare, over HTTP: evaluated, in the document, listed, and drawn at random. The place is invented."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, JSON, service
from tests.opened import in_place
from tests.rules.parlour import EDITION, PLACE, publish_unproved, with_parlour
from tests.rules.raised import raised_id

from bondwright.api.app import create_app
from bondwright.cli import main
from bondwright.shelf.published import on_shelf

PACK = raised_id("iec60364-2017")
WORK = {"kind": "inspection", "inspected_on": "2026-11-25"}
BREAKER = {"type": "B", "rated_a": 20}
CIRCUIT = {"measure": "automatic_disconnection", "disconnection_met": "yes", "rcd": "none", "device": BREAKER, "cpc": 2.5}
GRID = {"kind": "floor_grid", "accessible": "no", "told": {"welded_at_crossings": "yes"}, "material": "steel"}
TOLD = {"livestock_present": "yes", "floor_heated": "no", "grid_reading": "0.1 ohm"}
KNOWN = st.sampled_from(("yes", "no", "unknown"))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Rules with the parlour, published."""
    folder = with_parlour(tmp_path_factory.mktemp("parlour") / "rules")
    publish_unproved(folder)
    return folder


@pytest.fixture(scope="module")
def client(folder: Path) -> Iterator[TestClient]:
    """The service over that folder."""
    built = service(on_shelf(folder), folder / "record.sqlite")
    yield TestClient(create_app(built), raise_server_exceptions=False)
    built.close()


def asked(client: TestClient, room: dict[str, Any]) -> Any:
    """The answer to a description with one parlour."""
    sent = {"work": WORK, "premises": "outbuilding", "rule_pack": PACK, "locations": [{"kind": PLACE, **room}]}
    return client.post(EVALUATIONS, content=json.dumps(sent), headers=JSON)


def parlour(client: TestClient, **room: Any) -> dict[str, Any]:
    """What is answered of it."""
    answer = asked(client, room)
    assert answer.status_code == 201, answer.text
    (found,) = in_place(answer.json()["evaluation"])["rooms"]
    return dict(found)


def levels(found: dict[str, Any]) -> dict[str, str]:
    return {one["outcome"]: one["worst_case"] for one in (*found["verdicts"], *found["findings"])}


# A type B breaker acts within 5 s at 5 times its rating, as for bathrooms; 25 V is the value of the invented place.
@pytest.mark.parametrize(("reading", "found"), [("0.1 ohm", "shown"), ("0.19 ohm", "shown"), ("0.2 ohm", "not_shown")])
def test_a_reading_is_judged_by_its_limit_with_the_doubt_of_the_instrument(reading: str, found: str, client: TestClient) -> None:
    answer = parlour(client, told={**TOLD, "grid_reading": reading}, items=[GRID], services=[], circuits=[CIRCUIT])

    assert answer["resistance_limit"]["lowest"] == 0.25
    assert levels(answer)["grid_found"] == found


def test_where_nothing_is_told_the_questions_are_at_their_fields(client: TestClient) -> None:
    answer = parlour(client)

    assert answer["act"] == "parlour_settle"
    assert levels(answer) == {
        "floor_grid": "needed", "grid_objection": "ask_maker", "supplementary_bonding": "required", "grid_found": "absent"
    }  # fmt: skip
    pointers = [question["pointer"] for verdict in answer["verdicts"] for question in verdict["questions"]]
    assert pointers == [f"/locations/0/{at}" for at in ("told/livestock_present", "told/floor_heated", "services", "items")]


def test_an_objection_stops_the_work(client: TestClient) -> None:
    answer = parlour(client, told={**TOLD, "floor_heated": "yes"}, items=[GRID], services=[], circuits=[CIRCUIT])

    assert (answer["act"], answer["mark"]) == ("parlour_ask", "settle_first")


def test_a_bathroom_has_no_word_of_the_parlour_and_the_parlour_none_of_devices(client: TestClient) -> None:
    bathroom = levels(parlour(client, kind="bath_or_shower", items=[GRID], services=[], circuits=[CIRCUIT]))

    assert set(bathroom) == {"supplementary_bonding"}
    assert "additional_protection" not in levels(parlour(client))


def test_it_stands_in_the_document_and_among_the_kinds(client: TestClient, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    document = client.get("/openapi.json").text

    assert main(["rules", "scope", "--rules", str(folder), "--pack", EDITION]) == 0
    assert f"location {PLACE}: judged" in capsys.readouterr().out
    for word in (PLACE, "floor_grid", "livestock_present", "welded_at_crossings", "grid_reading"):
        assert f'"{word}"' in document


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    told=st.fixed_dictionaries(
        {}, optional={"livestock_present": KNOWN, "floor_heated": KNOWN, "grid_reading": st.sampled_from(("0.1 ohm", ">999 MΩ", "unknown"))}
    ),
    welded=st.lists(KNOWN, max_size=2),
    described=st.booleans(),
)
def test_withholding_a_fact_never_relaxes(client: TestClient, told: dict[str, str], welded: list[str], described: bool) -> None:
    items = [{**GRID, "told": {"welded_at_crossings": word}} for word in welded]
    room = {"services": [], "circuits": [CIRCUIT], **({"items": items} if described else {})}

    whole = parlour(client, told=told, **room)
    ladders = {"floor_grid": ("not_needed", "needed"), "grid_objection": ("nothing_against", "ask_maker")}

    for left_out in told:
        less = levels(parlour(client, told={name: word for name, word in told.items() if name != left_out}, **room))
        for outcome, ladder in ladders.items():
            assert ladder.index(less[outcome]) >= ladder.index(levels(whole)[outcome])
        if "grid_found" in levels(whole) and levels(whole)["grid_found"] != "shown":
            assert less["grid_found"] != "shown"

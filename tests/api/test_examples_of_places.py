"""The documented examples of special locations: sent over HTTP, each is judged, and its page is the one that is kept."""

import json
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.api.keep_documents import page, page_beside, places
from tests.rules.revisions import newest

FAMILY = "bs7671-2018-a4"
GENERAL = {"ordinary_room", "bath_or_shower"}
"""Kinds of location with rules in other examples."""
EARLIER = {"solar_power": "bs7671-2018-a3"}
"""Kinds that this family does not judge, each with the last that does."""
LINES, WORDS = 60, 450
"""What a page to take to the site may have, as pages of houses."""
NAMES = [request.name.removesuffix(".request.json") for request in places()]


def judged_by(family: str) -> set[str]:
    """The kinds of location that the newest pack of a family judges."""
    return {kind.name for kind in newest(family).kinds.rows["location"].values() if kind.judged}


def test_every_special_location_that_is_judged_has_an_example_and_no_other() -> None:
    judged = judged_by(FAMILY)

    assert judged - GENERAL == set(NAMES) - GENERAL - set(EARLIER)
    assert NAMES
    assert [kind for kind, family in EARLIER.items() if kind in judged or kind not in judged_by(family)] == []


@pytest.mark.parametrize("request_file", places(), ids=NAMES)
def test_the_page_of_an_example_is_the_one_that_is_kept(client: TestClient, request_file: Path) -> None:
    assert page(client, request_file) == page_beside(request_file).read_text(encoding="utf-8")


@pytest.mark.parametrize("request_file", places(), ids=NAMES)
def test_an_example_is_about_its_place_and_judged(client: TestClient, request_file: Path) -> None:
    sent = json.loads(request_file.read_bytes())
    answer = client.post("/v1/evaluations", json=sent, headers={"prefer": "return=representation"}).json()["evaluation"]

    name = request_file.name.removesuffix(".request.json")
    assert name in [location["kind"] for location in sent["locations"]]
    assert [room["act"] for room in answer["rooms"] if room["act"].startswith("not_judged")] == []
    assert [one["act"] for one in answer.get("earthings", []) if one["act"].startswith("not_judged")] == []
    assert "told_not_used" not in answer
    assert answer["pack"]["pack_id"].startswith(EARLIER.get(name, FAMILY))


@pytest.mark.parametrize("request_file", places(), ids=NAMES)
def test_an_example_and_its_page_are_read_in_a_minute(request_file: Path) -> None:
    kept = page_beside(request_file).read_text(encoding="utf-8")

    assert 20 <= len(request_file.read_text(encoding="utf-8").splitlines()) <= LINES
    assert len(kept.splitlines()) <= LINES
    assert len(kept.split()) <= WORDS


def test_the_examples_show_each_way_that_an_answer_can_go(client: TestClient) -> None:
    instructions = set[str]()
    for request_file in places():
        sent = client.post("/v1/evaluations", json=json.loads(request_file.read_bytes()), headers={"prefer": "return=minimal"})
        instructions |= {act["instruction"] for act in sent.json()["outline"]["acts"]}

    assert instructions >= {"connect", "leave", "keep", "stop", "ask", "look", "do_not_connect"}

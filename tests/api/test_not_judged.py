"""Ten descriptions of places without rules, over HTTP and on the page, read as an inspector would: nothing cleared, nothing ordered."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests import paged
from tests.api.builders import EVALUATIONS, JSON, service
from tests.core.cases import judged
from tests.core.kinds import FOUND_GOOD, HIGH, SUPPLY
from tests.opened import in_place
from tests.rules.revisions import newest

from bondwright.api.app import create_app
from bondwright.assembly import Bondwright
from bondwright.members import replace

WORK = {"kind": "inspection", "inspected_on": "2026-11-28"}
TESTED = {"measure": "automatic_disconnection", "disconnection_met": "yes", "rcd": "30_mA_or_less", "rcd_tested": "yes", "cpc": 2.5}
SUPPLEMENTARY = {"present": "yes", "resistance": "0.04 ohm"}


def metal(kind: str, **facts: Any) -> dict[str, Any]:
    return {"kind": kind, "material": "steel", "fed_by": "nothing", "touches": "soil", **facts}


def place(kind: str, *items: dict[str, Any]) -> dict[str, Any]:
    inside = [{**item, "accessible": "yes"} for item in items]
    return {"kind": kind, "services": [], "items": inside, "circuits": [TESTED], "supplementary_bonding": SUPPLEMENTARY}


PLACES: dict[str, dict[str, Any]] = {
    "paint store": {"premises": "outbuilding", "locations": [place("explosion_risk", metal("equipment_case"), metal("staircase"))]},
    "hotel roof": {"premises": "hotel", "locations": [place("solar_power", metal("staircase", touches="concrete_or_masonry"))]},
    "clinic on batteries": {"premises": "medical", "locations": [place("island_mode", metal("equipment_case", touches="nothing_earthy"))]},
    "charger": {"items": [metal("charging_point", touches="nothing_earthy", bonds=[FOUND_GOOD]), metal("vehicle", touches="unknown")]},
    "tent field": {"premises": "caravan_park", "locations": [place("other", metal("other"))]},
    "moorings": {"locations": [place("hv_substation", metal("pontoon"))], "items": [metal("boat", material="aluminium")]},
    "gas vessel": {"items": [metal("vessel", bonds=[FOUND_GOOD], measurements=[HIGH])]},
    "array": {"items": [metal("solar_array", count=2), metal("lightning_protection", material="copper")]},
    "steam fair": {"premises": "fairground_or_exhibition", "items": [metal("structural_steel", bonds=[FOUND_GOOD])]},
    "forecourt": {
        "premises": "filling_station",
        "services": [{"kind": "water", "comes_from": "ground", "enters_as": "copper", "inside": "nothing", "joined_to": []}],
        "locations": [place("explosion_risk", metal("cladding")), {"kind": "bath_or_shower", "circuits": [TESTED]}],
    },
}
CLEARED = re.compile(r"\b(leave|omit|omitted|nothing to bond|effective|complies|no action|not extraneous|verified|keep)\b", re.IGNORECASE)
ORDERED = re.compile(r"\b(bond (?!there|items|locations)|connect |disconnect|remove|measure |put right|join |clamp)|\d+ mm²", re.IGNORECASE)

every_place = pytest.mark.parametrize("place", PLACES)


def described(name: str) -> dict[str, Any]:
    return {"work": WORK, "premises": "house", "supply": SUPPLY, "survey_complete": "yes", "reference": name, **PLACES[name]}


@pytest.fixture
def bondwright(record_file: Path) -> Iterator[Bondwright]:
    """The service over the newest edition as its files stand."""
    built = service([newest("bs7671-2018-a4")], record_file)
    yield built
    built.close()


def answered(client: TestClient, name: str) -> dict[str, Any]:
    answer = client.post(EVALUATIONS, content=json.dumps(described(name)), headers=JSON)
    assert answer.status_code == 201, answer.text
    found: dict[str, Any] = answer.json()
    return found


def things(evaluation: dict[str, Any]) -> list[dict[str, Any]]:
    return [*evaluation["parts"], *evaluation["rooms"]]


def verdicts_in(value: Any) -> Iterator[dict[str, Any]]:
    """Every verdict with levels in a piece of an answer."""
    if isinstance(value, dict):
        if "act_on" in value:
            yield value
        value = list(value.values())
    for member in value if isinstance(value, list) else ():
        yield from verdicts_in(member)


def test_there_are_ten_places() -> None:
    assert len(PLACES) == 10


@every_place
def test_nothing_is_cleared_or_ordered_in_what_a_program_reads(client: TestClient, place: str) -> None:
    evaluation = in_place(answered(client, place)["evaluation"])

    without_rules = [one for one in things(evaluation) if one["act"] == "not_judged"]
    judged_all_the_same = [one["name"] for one in things(evaluation) if one["act"] != "not_judged"]
    assert without_rules and judged_all_the_same == []
    for one in without_rules:
        assert {(verdict["act_on"], verdict["firm"]) for verdict in verdicts_in(one)} == {("not_judged", False)}
        assert one["observation"] is None and one["tests"] == []
    assert evaluation["plan"] == {"connections": [], "bonded": [], "covered": []}


@every_place
def test_the_first_members_count_what_is_not_judged_with_its_section_and_whom_to_ask(client: TestClient, place: str) -> None:
    evaluation = answered(client, place)["evaluation"]

    assert list(evaluation)[:4] == ["form", "reference", "pack", "not_judged"]
    evaluation = in_place(evaluation)
    assert {one["pointer"] for one in things(evaluation)} <= {told["pointer"] for told in evaluation["not_judged"]}
    for told in evaluation["not_judged"]:
        assert told["of"] in ("location", "item", "service", "premises") and told["governed_by"] and told["known"] and told["ask"]


@every_place
def test_nothing_is_cleared_or_ordered_on_the_page(place: str) -> None:
    evaluation = judged(described(place))
    page = paged.page(evaluation)
    head, _, rest = page.partition("\n\nSIZES\n")
    _, _, body = head.partition("NOT COVERED HERE")

    assert f": {len(evaluation.not_judged)} of the things described" in body and rest
    told = " ".join(line for line in body.splitlines() if "[" not in line)
    for governed in evaluation.not_judged:
        told = told.replace(governed.known, "").replace(governed.ask, "")
    flat = " ".join(told.split())
    for governed in evaluation.not_judged:
        flat = flat.replace(governed.known, "").replace(governed.ask, "")
    assert CLEARED.findall(flat) == [] and ORDERED.findall(flat) == []


def test_words_that_clear_or_order_would_be_found_on_the_page() -> None:
    assert CLEARED.findall("Leave the pontoon unbonded: no action.") and ORDERED.findall("Bond the pontoon at the entry, 10 mm².")


def test_what_is_not_judged_is_found_again(client: TestClient) -> None:
    evaluation_id = answered(client, "charger")["evaluation_id"]
    client.post(EVALUATIONS, content=json.dumps({"work": WORK, "items": [metal("gate")]}), headers=JSON)

    found = client.get(EVALUATIONS, params={"outcome": "main_bonding", "worst_case": "not_judged"}).json()

    assert [one["evaluation_id"] for one in found["evaluations"]] == [evaluation_id]


def test_it_is_replayed_to_the_same_bytes(client: TestClient) -> None:
    evaluation_id = answered(client, "forecourt")["evaluation_id"]

    assert client.post(f"{EVALUATIONS}/{evaluation_id}/replay").json()["same_bytes"] == "same"


def test_the_reason_can_be_read_under_its_id(client: TestClient) -> None:
    evaluation = in_place(answered(client, "hotel roof")["evaluation"])
    (reason,) = evaluation["rooms"][0]["verdicts"][0]["because"]

    rule = client.get(f"/v1/rule-packs/{reason['pack_digest']}/rules/{reason['rule']}").json()

    assert (rule["rule_id"], rule["polarity"]) == ("location-solar_power-not-judged", "not_judged")
    assert (rule["clause"], rule["says"]) == ("Section 712", reason["says"])
    assert client.get(f"/v1/rule-packs/{reason['pack_digest']}/rules/location-bath_or_shower-not-judged").status_code == 404


def test_a_pack_that_lacks_a_row_is_not_ready_and_gives_no_verdict(record_file: Path, caplog: pytest.LogCaptureFixture) -> None:
    whole = newest("bs7671-2018-a4")
    rows = {name: row for name, row in whole.properties["fluids"].items() if name != "none"}
    short = replace(whole, properties={**whole.properties, "fluids": rows})
    built = service([short], record_file)
    client = TestClient(create_app(built), raise_server_exceptions=False)

    answer = client.post(EVALUATIONS, content=json.dumps(described("steam fair")), headers=JSON)

    assert answer.status_code == 500 and answer.json()["type"] == "/problems/internal"
    assert client.get("/readyz").status_code == 503
    assert "table `fluids` lacks the row `none`, which is read by name" in caplog.text
    built.close()

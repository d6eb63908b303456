"""What an inspection reports under a code: there where something was found that no missing fact could take back, and nowhere else."""

from typing import Any

import pytest
from tests.core.cases import judged

from bondwright.compose.answer import BondAnswer, Observation, PartAnswer, RoomAnswer

INSPECTION = {"kind": "inspection", "inspected_on": "2026-11-25"}
ALTERATION = {"kind": "alteration", "designed_on": "2026-11-25"}
SUPPLY = {"earthing_system": "TN-C-S", "pme_conditions": "apply", "neutral": {"size": 25, "material": "copper"}}
GOOD = {
    "connected_to": "main_earthing_terminal",
    "size": 10,
    "material": "copper",
    "length_m": 8,
    "continuity": "0.02 ohm",
    "continuity_parted": "yes",
    "joint": "sound",
    "accessible": "yes",
    "labelled": "yes",
    "before_first_branch": "yes",
    "closer_place_practicable": "no",
    "on": "entering_pipe",
}


def part(work: dict[str, str], *bonds: dict[str, Any], comes_from: str = "ground") -> PartAnswer:
    """A copper water pipe in sight, and what was found on it."""
    water = {"kind": "water", "comes_from": comes_from, "enters_as": "copper", "joined_by": "compression", "inside": "nothing"}
    service = {**water, "insulating_section": "none", "meter": {"position": "outside"}, "joined_to": [], "bonds": list(bonds)}
    return judged({"work": work, "supply": SUPPLY, "services": [service]}).parts[0]


def bond(work: dict[str, str] | None = None, **found: Any) -> BondAnswer:
    """A bond on that pipe, sound but for what is said."""
    return part(work or INSPECTION, {**GOOD, **found}).bonds[0]


def room(**found: Any) -> RoomAnswer:
    """A bathroom with nothing to bond in it."""
    circuit = {"measure": "automatic_disconnection", "disconnection_met": "yes", "rcd": "30_mA_or_less", "rcd_tested": "yes", **found}
    location = {"kind": "bath_or_shower", "services": [], "items": [], "circuits": [circuit]}
    return judged({"work": INSPECTION, "supply": SUPPLY, "survey_complete": "yes", "locations": [location]}).rooms[0]


def code(one: PartAnswer | BondAnswer | RoomAnswer) -> str | None:
    """The code of an observation, if there is one."""
    return one.observation.code if one.observation else None


@pytest.mark.parametrize(
    ("found", "expected"),
    [
        ({}, None),
        ({"labelled": "no"}, "C3"),
        ({"size": 6}, "C3"),
        ({"size": 4}, "C2"),
        ({"joint": "corroded"}, "C2"),
        ({"labelled": "unknown"}, None),
        ({"continuity": "unknown"}, None),
        ({"joint": "unknown", "size": "unknown"}, None),
    ],
)
def test_a_bond_is_coded_for_what_was_found_and_not_for_what_nobody_looked_at(found: dict[str, Any], expected: str | None) -> None:
    told = part(INSPECTION, {**GOOD, **found})

    assert (code(told), code(told.bonds[0])) == (expected, None)


def test_a_finding_is_coded_though_something_worse_is_not_excluded() -> None:
    unmeasured = bond(labelled="no", continuity="unknown")

    report = next(one for one in unmeasured.verdicts if one.outcome == "bond_report")
    assert (report.act_on, report.worst_case, report.lowest_possible) == ("improvement", "potentially_dangerous", "improvement")
    assert code(part(INSPECTION, {**GOOD, "labelled": "no", "continuity": "unknown"})) == "C3"


def test_an_observation_says_what_was_found_and_what_it_departs_from() -> None:
    assert part(INSPECTION, {**GOOD, "labelled": "no", "continuity": "unknown"}).observation == Observation(
        code="C3",
        words="A sound bond below the present edition is worth improving; the supply stays on. Found: no label.",
        clause="514.13.1; 653.3; Appendix 6",
    )


def test_a_missing_bond_is_potentially_dangerous_and_one_on_metal_in_doubt_is_investigated() -> None:
    assert (code(part(INSPECTION)), code(part(INSPECTION, comes_from="unknown"))) == ("C2", "FI")


def test_a_bathroom_without_residual_current_protection_is_worth_improving_where_that_was_found() -> None:
    assert [code(room(rcd=rcd)) for rcd in ("none", "30_mA_or_less", "unknown")] == ["C3", None, None]


def test_other_work_than_an_inspection_has_no_observation() -> None:
    told = part(ALTERATION, {**GOOD, "labelled": "no"})

    assert (code(told), code(told.bonds[0])) == (None, None)


def test_two_bonds_with_different_faults_have_an_observation_each_and_the_worst_is_the_parts() -> None:
    told = part(INSPECTION, {**GOOD, "labelled": "no"}, {**GOOD, "size": 4})

    assert (code(told), [code(one) for one in told.bonds]) == ("C2", ["C3", None])


@pytest.mark.parametrize("bonds", [[], [{"on": "entering_pipe", **GOOD, "connected_to": "nothing"}]], ids=["no bond", "a bond to nothing"])
def test_one_break_is_reported_once_and_not_of_every_length_beyond_it(bonds: list[Any]) -> None:
    water = {"id": "water", "kind": "water", "comes_from": "ground", "enters_as": "lead", "joined_by": "unknown", "inside": "copper"}
    hidden = {"hidden": "yes", "hidden_in": "stud_void", "insulating_section": "none", "joined_to": ["heating"], "bonds": bonds}
    heating = {"id": "heating", "kind": "heating", "comes_from": "inside_only", "enters_as": "copper", "inside": "copper", "bonds": []}
    heating |= {"hidden": "no", "joined_to": ["water"]}
    radiators = {"id": "radiators", "kind": "radiator", "fed_by": "metal", "material": "steel", "touches": "nothing_earthy", "bonds": []}

    answer = judged({"work": INSPECTION, "supply": SUPPLY, "services": [water | hidden, heating], "items": [radiators]})

    assert [code(one) for one in answer.parts if code(one)] == ["C2"]
    assert [code(bond) for one in answer.parts for bond in one.bonds if code(bond)] == []

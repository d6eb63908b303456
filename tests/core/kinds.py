"""Descriptions with one thing of any kind in them, and what an answer may not say of a thing that no rule covers."""

import re
from collections.abc import Iterator, Mapping
from typing import Any

from tests.described import terms

from bondwright.compose.answer import Evaluation, PartAnswer, RoomAnswer, Verdict
from bondwright.rulebook.kinds import TABLES, Kind, KindOf
from bondwright.rulebook.pack import RulePack

KINDS: Mapping[KindOf, tuple[str, ...]] = {of: terms().words(of) for of in TABLES}
"""Every kind that a description can name."""

WORK = {"kind": "inspection", "inspected_on": "2026-11-28"}
SUPPLY = {"earthing_system": "TN-C-S", "pme_conditions": "apply", "neutral": {"size": 25, "material": "copper"}}
FOUND_GOOD = {
    "connected_to": "main_earthing_terminal",
    "size": 10,
    "material": "copper",
    "length_m": 4,
    "continuity": "0.02 ohm",
    "continuity_parted": "yes",
    "joint": "sound",
    "labelled": "yes",
}
"""A bond of which everything is known and good."""
HIGH = {"reading": ">200 Mohm", "to": "earthing_conductor", "own_bond": "none", "protective_conductors": "none", "pipe_filled": "yes"}
"""A reading that shows isolation."""
STEEL_IN_SOIL = {"material": "steel", "fed_by": "nothing", "touches": "soil", "bonds": []}
ALUMINIUM_APART = {"material": "aluminium", "fed_by": "nothing", "touches": "nothing_earthy", "bonds": []}
ROOM = {
    "services": [],
    "items": [{"id": "case", "kind": "equipment_case", "accessible": "yes", **STEEL_IN_SOIL}],
    "circuits": [{"measure": "automatic_disconnection", "disconnection_met": "yes", "rcd": "30_mA_or_less", "rcd_tested": "yes"}],
    "supplementary_bonding": {"present": "yes", "resistance": "0.02 ohm"},
}
"""A location in which a judged kind would come to something firm."""

_CLEARING = re.compile(
    r"\b(leave|omit|omitted|nothing to bond|effective|complies|no action|not required|verified|keep|covers|does its work)\b", re.IGNORECASE
)
_ORDERING = re.compile(r"mm²|\b(connect the|bond the|disconnect|remove|measure|put right|join the|clamp)\b", re.IGNORECASE)


def unjudged(pack: RulePack) -> tuple[Kind, ...]:
    """Every kind of the vocabulary that a pack does not judge."""
    return tuple(kind for of, names in KINDS.items() for name in names if not (kind := pack.kind(of, name)).judged)


def description(of: KindOf, name: str, **facts: Any) -> dict[str, Any]:
    """A house with one thing of a kind in it; premises of a kind, with a steel frame in them."""
    house = {"work": WORK, "premises": "house", "supply": SUPPLY, "survey_complete": "yes"}
    match of:
        case "location":
            return {**house, "locations": [{"id": "it", "kind": name, **ROOM, **facts}]}
        case "item":
            return {**house, "items": [{"id": "it", "kind": name, **STEEL_IN_SOIL, **facts}]}
        case "service":
            return {
                **house,
                "services": [
                    {"id": "it", "kind": name, "comes_from": "ground", "enters_as": "steel", "inside": "nothing", "joined_to": []}
                ],
            }
        case "premises":
            frame = {"id": "frame", "kind": "structural_steel", **STEEL_IN_SOIL, "bonds": [FOUND_GOOD]}
            return {**house, "premises": name, "items": [frame], "locations": [{"id": "it", "kind": "bath_or_shower", **ROOM}]}
        case _:
            raise AssertionError(f"no pack has a table of kinds of {of}")


def things_not_judged(evaluation: Evaluation) -> list[PartAnswer | RoomAnswer]:
    """The parts and locations that an answer says no rule covers."""
    parts = [one for one in evaluation.parts if one.act == "not_judged"]
    return [*parts, *(one for one in evaluation.rooms if one.act == "not_judged")]


def said_of_what_is_not_judged(evaluation: Evaluation) -> list[str]:
    """What an answer says of things that no rule covers and may not say: a fault each."""
    faults: list[str] = []
    for one in things_not_judged(evaluation):
        faults += [f"{one.pointer}: {fault}" for fault in _faults(one, evaluation)]
    return faults


def _faults(one: PartAnswer | RoomAnswer, evaluation: Evaluation) -> Iterator[str]:
    if one.mark != "not_judged" or one.tests or one.ways_out:
        yield f"mark {one.mark}, tests {one.tests}, ways out {one.ways_out}"
    for verdict in _verdicts(one):
        if verdict.firm or verdict.act_on != "not_judged":
            yield f"{verdict.outcome} is {verdict.act_on}, {'firm' if verdict.firm else 'not firm'}"
    for text in (one.line.partition(":")[0], one.customer, *(verdict.words for verdict in _verdicts(one))):
        if found := _CLEARING.search(text) or _ORDERING.search(text):
            yield f"says {found[0]!r}: {text}"
    if one.pointer not in {told.pointer for told in evaluation.not_judged}:
        yield "is not named at the head"
    if one.observation:
        yield f"reports {one.observation.code}"
    if isinstance(one, RoomAnswer) and (one.links or one.resistance_limit or one.omitted_once):
        yield "has links, a limit or an act that frees"
    if isinstance(one, PartAnswer):
        yield from _faults_of_part(one, evaluation)


def _faults_of_part(part: PartAnswer, evaluation: Evaluation) -> Iterator[str]:
    plan = evaluation.plan
    if part.part in (*(made.part for made in plan.connections), *plan.bonded, *plan.covered):
        yield "stands in the plan"
    if part.place or part.next_reading or part.test_to_make or part.covered_by:
        yield "has a place, a reading or test to make, or is served by another"
    for other in evaluation.parts:
        if part.part in other.covered_by:
            yield f"serves {other.part}"
    for bond in part.bonds:
        if bond.counts != "not_judged" or bond.observation or bond.expected_continuity_ohm is not None:
            yield f"bond {bond.bond} counts as {bond.counts}"


def _verdicts(one: PartAnswer | RoomAnswer) -> Iterator[Verdict]:
    yield from (*one.verdicts, *one.findings)
    if isinstance(one, PartAnswer):
        yield from (verdict for bond in one.bonds for verdict in bond.verdicts)
        yield from (reading.verdict for reading in one.readings)

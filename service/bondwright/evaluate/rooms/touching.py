"""Locations as subjects: supplementary bonding, its sizes, its limit, and the one act that would free from it."""

from collections.abc import Sequence
from dataclasses import dataclass

from bondwright.evaluate.answer import Question
from bondwright.evaluate.parts import DUTY, Part, required, stays_outside
from bondwright.evaluate.readings import resistance_between
from bondwright.evaluate.reasoning.stages import Subject, subject
from bondwright.evaluate.rooms.circuits import circuit_facts, circuit_questions
from bondwright.evaluate.rooms.connecting import CONNECTION
from bondwright.evaluate.rooms.metal_questions import about_metal, about_together
from bondwright.evaluate.rooms.touched import House, Touched, bond_pointer, together
from bondwright.installation.rooms import Location
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either, opposite
from bondwright.rulebook.facts import FactValue
from bondwright.rulebook.pack import RulePack

ROOM = "room"
OUTCOME = "supplementary_bonding"


@dataclass(frozen=True, slots=True)
class Connected:
    """Whether every extraneous part of a room is connected to the main bonding, and what would show it."""

    holds: Known
    questions: tuple[Question, ...] = ()


def room_subject(
    location: Location,
    index: int,
    present: Sequence[Touched] | None,
    connected: Connected,
    house: House,
    alters: str,
    pack: RulePack,
    planned: bool,
) -> Subject:
    """A location with its facts; `planned`: as it would be with the plan's connections made; `alters`: does the work alter circuits."""
    pointer = f"/locations/{index}"
    facts: dict[str, FactValue] = {
        "location_kind": pack.kind("location", location.kind).word("called", location.kind),
        "extraneous_part_accessible": "unknown" if present is None else either(*(one.counts for one in present)),
        "parts_reachable_together": "unknown" if present is None else together(location, present),
        "main_bonding_in_place": both(house.survey_complete, *(_in_place(part, house, planned, pack) for part in house.parts)),
        "extraneous_parts_connected": connected.holds,
        "bonding_protected": location.bonding_protected,
        "circuits_new_or_altered": alters,
        **_found(location, pack),
        **circuit_facts(location.circuits, pack),
    }
    questions = {
        "extraneous_part_accessible": about_metal(location, pointer, present, pack),
        "main_bonding_in_place": _about_main_bonding(house, pack),
        "extraneous_parts_connected": about_metal(location, pointer, None, pack) if present is None else connected.questions,
        "bonding_protected": (Question("bonding_protected", pack.facts["bonding_protected"].ask, f"{pointer}/bonding_protected"),),
        **circuit_questions(location.circuits, f"{pointer}/circuits", pack),
    }
    if "equipment_together" in pack.asks:
        questions["parts_reachable_together"] = about_together(location, pointer, present, pack)
    for fact, key in (("supplementary_present", "present"), ("supplementary_resistance", "resistance")):
        if fact in pack.facts:
            questions[fact] = (Question(fact, pack.facts[fact].ask, f"{pointer}/supplementary_bonding/{key}"),)
    named = {fact: some for fact, some in questions.items() if some}
    return subject(pack, ROOM, room_id(location, index), pointer, facts, named)


def room_id(location: Location, index: int) -> str:
    """What answers call a location: its id, or its place."""
    return location.id or f"locations-{index}"


def connected_by_bonds(present: Sequence[Touched] | None, house: House, planned: bool) -> Known:
    """Whether each part that counts in a room carries a bond: all that packs know which do not judge how a connection is shown."""
    if present is None:
        return "unknown"
    found: list[Known] = ["yes"]
    for one in present:
        connected: Known = "unknown" if one.part is None else house.connected(one.part, planned)
        found.append(either(opposite(one.counts), connected))
    return both(*found)


def _found(location: Location, pack: RulePack) -> dict[str, FactValue]:
    found = location.supplementary_bonding
    measured = resistance_between(found.resistance, pack)
    facts: dict[str, FactValue] = {"supplementary_present": found.present}
    return facts if measured is None else {**facts, "supplementary_resistance": measured}


def _in_place(part: Part, house: House, planned: bool, pack: RulePack) -> Known:
    """Whether main bonding on this part is as it must be: not called for, or connected, or served by parts that are."""
    if not part.judged:
        return "yes" if stays_outside(part) else "unknown"
    duty = required(part, pack)
    if duty == "no":
        return "yes"
    level = part.subject.levels[DUTY]
    stands = level.settled if CONNECTION in pack.outcomes else level.lowest  # packs that do not judge connections waited for a reading
    certain = stands >= len(pack.outcomes[DUTY].levels) - 1
    servers = [house.of(name) for name in house.acts[part.subject.name].covered_by]
    if servers:
        return both(*(house.connected(one, planned) for one in servers if one is not None))
    connected = house.connected(part, planned)
    return connected if certain or connected == "yes" else either(connected, "unknown")


def _about_main_bonding(house: House, pack: RulePack) -> tuple[Question, ...]:
    doubtful = [part for part in house.parts if _in_place(part, house, False, pack) == "unknown"]
    asked = [Question("bond", pack.asks["bond"], bond_pointer(part)) for part in doubtful]
    if house.survey_complete == "unknown":
        asked.append(Question("survey_complete", pack.asks["survey_complete"], "/survey_complete"))
    return tuple(dict.fromkeys(asked))

"""Locations as subjects: supplementary bonding, its sizes, its limit, and the one act that would free from it."""

from collections.abc import Sequence
from dataclasses import replace

from bondwright.evaluate.readings import resistance_between
from bondwright.evaluate.reasoning.stages import Subject, subject
from bondwright.evaluate.rooms.asking import Asking, Connected
from bondwright.evaluate.rooms.circuits import circuit_facts
from bondwright.evaluate.rooms.house import House, in_place
from bondwright.evaluate.rooms.touched import Touched, together
from bondwright.installation.rooms import Location
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either, opposite
from bondwright.rulebook.facts import FactValue
from bondwright.rulebook.pack import RulePack

ROOM = "room"
OUTCOME = "supplementary_bonding"


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
        "main_bonding_in_place": both(house.survey_complete, *(in_place(part, house, planned, pack) for part in house.parts)),
        "extraneous_parts_connected": connected.holds,
        "bonding_protected": location.bonding_protected,
        "circuits_new_or_altered": alters,
        **_found(location, pack),
        **circuit_facts(location.circuits, pack),
    }
    asking = Asking(location, pointer, house, present, connected, pack)
    one = subject(pack, ROOM, room_id(location, index), pointer, facts, {} if planned else asking.questions(facts))
    return replace(one, possible=asking.possible(), implied=asking.implied())


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

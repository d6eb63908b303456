"""The row of each location: what can be touched there, its circuits, and the supplementary bonding found."""

from collections.abc import Sequence

from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.parts.readings import resistance_between
from bondwright.facts.rooms.asking import Asking, Connected
from bondwright.facts.rooms.building import Building, in_place
from bondwright.facts.rooms.circuits import circuit_facts
from bondwright.facts.rooms.touched import Touched, together
from bondwright.facts.row import Row, row_of
from bondwright.installation.rooms import Location
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either, opposite
from bondwright.rulebook.facts import FactValue
from bondwright.rulebook.pack import RulePack

ROOM = "room"
OUTCOME = "supplementary_bonding"


def room_row(
    location: Location,
    index: int,
    present: Sequence[Touched] | None,
    connected: Connected,
    building: Building,
    alters: str,
    reasoning: Reasoning,
    planned: bool,
) -> Row:
    """A location with its facts; `planned`: as it would be with the plan's connections made; `alters`: does the work alter circuits."""
    pack, pointer = reasoning.pack, f"/locations/{index}"
    facts: dict[str, FactValue] = {
        "location_kind": pack.kind("location", location.kind).word("called", location.kind),
        "extraneous_part_accessible": "unknown" if present is None else either(*(touched.counts for touched in present)),
        "parts_reachable_together": "unknown" if present is None else together(location, present),
        "main_bonding_in_place": both(building.survey_complete, *(in_place(part, building, planned, pack) for part in building.parts)),
        "extraneous_parts_connected": connected.holds,
        "bonding_protected": location.bonding_protected,
        "circuits_new_or_altered": alters,
        **_bonding_found(location, pack),
        **circuit_facts(location.circuits, pack),
    }
    asking = Asking(location, pointer, building, present, connected, reasoning)
    return row_of(pack, ROOM, room_id(location, index), pointer, facts, {} if planned else asking.asked(facts), asking.answers())


def room_id(location: Location, index: int) -> str:
    """What answers call a location: its id, or its place."""
    return location.id or f"locations-{index}"


def connected_by_bonds(present: Sequence[Touched] | None, building: Building, planned: bool) -> Known:
    """Whether each part that counts in a room carries a bond: all that packs know which do not judge how a connection is shown."""
    if present is None:
        return "unknown"
    found: list[Known] = ["yes"]
    for touched in present:
        connected: Known = "unknown" if touched.part is None else building.connected(touched.part, planned)
        found.append(either(opposite(touched.counts), connected))
    return both(*found)


def _bonding_found(location: Location, pack: RulePack) -> dict[str, FactValue]:
    bonding = location.supplementary_bonding
    measured = resistance_between(bonding.resistance, pack)
    facts: dict[str, FactValue] = {"supplementary_present": bonding.present}
    return facts if measured is None else {**facts, "supplementary_resistance": measured}

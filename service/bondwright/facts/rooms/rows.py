"""The row of each location: what can be touched there, its circuits, and the supplementary bonding found."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bondwright.facts.parts.readings import resistance_between
from bondwright.facts.rooms.asking import Asking, Connected
from bondwright.facts.rooms.building import Building
from bondwright.facts.rooms.circuits import circuit_facts, circuit_questions
from bondwright.facts.rooms.touched import Touched, together
from bondwright.facts.row import Asked, Row, row_of
from bondwright.installation.rooms import Location
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either, opposite
from bondwright.rulebook.facts import FactValue
from bondwright.rulebook.pack import RulePack

ROOM = "room"
OUTCOME = "supplementary_bonding"


@dataclass(frozen=True, slots=True)
class Room:
    """A location as described, whatever is concluded of its connections.

    `present`: the metal that can be touched in it; none if nobody described it. `facts`: those that the plan does not change;
    `of_circuits`: what is asked behind those of its circuits.
    """

    location: Location
    index: int
    present: Sequence[Touched] | None
    facts: Mapping[str, FactValue]
    of_circuits: Mapping[str, tuple[Asked, ...]]

    @property
    def pointer(self) -> str:
        """Its place in the description."""
        return f"/locations/{self.index}"


def described_room(location: Location, index: int, present: Sequence[Touched] | None, alters: str, pack: RulePack) -> Room:
    """A location with its facts; `alters`: does the work alter circuits."""
    facts: dict[str, FactValue] = {
        "location_kind": pack.kind("location", location.kind).word("called", location.kind),
        "extraneous_part_accessible": "unknown" if present is None else either(*(touched.counts for touched in present)),
        "parts_reachable_together": "unknown" if present is None else together(location, present),
        "bonding_protected": location.bonding_protected,
        "circuits_new_or_altered": alters,
        **_bonding_found(location, pack),
        **circuit_facts(location.circuits, pack),
    }
    return Room(location, index, present, facts, circuit_questions(location.circuits, f"/locations/{index}/circuits", pack))


def room_row(room: Room, connected: Connected, building: Building, planned: bool, asks: bool) -> Row:
    """A location as a row; `planned`: as it would be with the plan's connections made; `asks`: with what is asked behind its facts."""
    facts = {**room.facts, "main_bonding_in_place": building.main_bonding(planned), "extraneous_parts_connected": connected.holds}
    asking = Asking(room.location, room.pointer, building, room.present, connected, room.of_circuits)
    asked, answers = (asking.asked(facts), asking.answers()) if asks else (None, None)
    return row_of(building.reasoning.pack, ROOM, room_id(room.location, room.index), room.pointer, facts, asked, answers)


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

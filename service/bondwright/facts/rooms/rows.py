"""The row of each location: what can be touched there, its circuits, and the supplementary bonding found."""

from collections.abc import Sequence

from bondwright.facts.rooms.asking import Asking, Connected
from bondwright.facts.rooms.building import Building
from bondwright.facts.rooms.room import Room
from bondwright.facts.rooms.touched import Touched
from bondwright.facts.row import Row, row_of
from bondwright.installation.rooms import Location
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either, opposite
from bondwright.rulebook.declared.places import CONNECTED, MAIN_BONDING, ROOM, Named
from bondwright.rulebook.facts import FactValue

_MAIN_BONDING, _CONNECTED = Named(MAIN_BONDING), Named(CONNECTED)


def room_row(room: Room, connected: Connected, building: Building, planned: bool, asks: bool) -> Row:
    """A location as a row; `planned`: as it would be with the plan's connections made; `asks`: with what is asked behind its facts."""
    places = building.reasoning.pack.places
    facts: dict[str, FactValue] = {
        places.fact(_MAIN_BONDING): building.main_bonding(planned),
        places.fact(_CONNECTED): connected.holds,
    }
    asking = Asking(room, building, connected)
    known = {**room.facts, **facts}
    asked, answers = (asking.asked(known), asking.answers(known)) if asks else (None, None)
    return row_of(building.reasoning.pack, ROOM, room_id(room.location, room.index), room.pointer, known, asked, answers)


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

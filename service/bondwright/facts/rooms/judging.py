"""The locations that are judged, each as it is and as it would be with the connections of the plan made."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bondwright.facts.rooms.asking import Connected
from bondwright.facts.rooms.building import CONNECTION, Building
from bondwright.facts.rooms.connecting import Connections, Present, connections
from bondwright.facts.rooms.omission import frees
from bondwright.facts.rooms.rows import Room, connected_by_bonds, described_room, room_row
from bondwright.facts.rooms.touched import Touched, touched
from bondwright.facts.row import Judged, judged
from bondwright.installation.rooms import Location
from bondwright.rulebook.facts import Between

LIMIT = "supplementary_resistance_limit"
_UNDECIDED = Connected("unknown")


@dataclass(frozen=True, slots=True)
class JudgedRoom:
    """A location with what was concluded of it; `connections`: of what can be touched there, if the pack judges them.

    `frees`: the one act after which supplementary bonding may be omitted, as the pack's table of such acts names it; none if it may be
    already, or more than one act is needed.
    """

    index: int
    location: Location
    judged: Judged
    connections: Connections | None
    frees: str | None


@dataclass(frozen=True, slots=True)
class _Rooms:
    """The locations to judge, by their index."""

    described: Mapping[int, Room]
    building: Building

    def judged(self, planned: bool, connected: Mapping[int, Connected], asks: bool = False) -> Mapping[int, Judged]:
        """Each of them judged, given what is known of its connections; `asks`: with what is asked behind its facts."""
        rows = [room_row(room, connected[index], self.building, planned, asks) for index, room in self.described.items()]
        return dict(zip(self.described, judged(rows, self.building.reasoning), strict=True))


def judged_rooms(described: Mapping[int, Location], building: Building, alters: str) -> Sequence[JudgedRoom]:
    """Those locations, in the order given. `alters`: does the work alter circuits, as the pack's table of works says.

    Each is judged as it is, and as it would be with the connections of the plan made. Raises: Contradiction, as `touched`, `connections`.
    """
    reasoning = building.reasoning
    rooms = _Rooms(
        {
            index: described_room(location, index, touched(location, index, building), alters, reasoning.pack)
            for index, location in described.items()
        },
        building,
    )
    joined = {planned: _joined(rooms, planned) for planned in (False, True)}
    as_is, with_plan = (rooms.judged(planned, _connected(rooms, joined[planned], planned), not planned) for planned in (False, True))
    return [
        JudgedRoom(index, location, as_is[index], joined[False].get(index), frees(as_is[index], with_plan[index], reasoning))
        for index, location in described.items()
    ]


def _joined(rooms: _Rooms, planned: bool) -> Mapping[int, Connections]:
    """The connections of each room whose metal is described; none where the pack does not judge them."""
    if CONNECTION not in rooms.building.reasoning.pack.outcomes or not rooms.described:
        return {}
    limits = rooms.judged(planned, dict.fromkeys(rooms.described, _UNDECIDED))
    there = {index: _present(room, room.present, limits[index]) for index, room in rooms.described.items() if room.present is not None}
    return dict(zip(there, connections(tuple(there.values()), rooms.building, planned), strict=True))


def _present(room: Room, there: Sequence[Touched], found: Judged) -> Present:
    size = found.sizes[LIMIT]
    return Present(there, Between(size.lowest, size.highest), room.of_circuits.get("operating_current", ()))


def _connected(rooms: _Rooms, joined: Mapping[int, Connections], planned: bool) -> Mapping[int, Connected]:
    if CONNECTION not in rooms.building.reasoning.pack.outcomes:
        return {index: Connected(connected_by_bonds(room.present, rooms.building, planned)) for index, room in rooms.described.items()}
    return {index: Connected(joined[index].hold(), joined[index].asked()) if index in joined else _UNDECIDED for index in rooms.described}

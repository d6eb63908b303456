"""The locations that are judged, each as it is and as it would be with the connections of the plan made."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.rooms.asking import Connected
from bondwright.facts.rooms.building import CONNECTION, Building
from bondwright.facts.rooms.connecting import Connections, Present, connections
from bondwright.facts.rooms.omission import frees
from bondwright.facts.rooms.rows import connected_by_bonds, room_row
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
    """The locations to judge, with the metal that can be touched in each."""

    described: Mapping[int, tuple[Location, tuple[Touched, ...] | None]]
    building: Building
    alters: str
    reasoning: Reasoning

    def judged(self, planned: bool, connected: Mapping[int, Connected]) -> Mapping[int, Judged]:
        """Each of them judged, given what is known of its connections."""
        rows = [
            room_row(location, index, present, connected[index], self.building, self.alters, self.reasoning, planned)
            for index, (location, present) in self.described.items()
        ]
        return dict(zip(self.described, judged(rows, self.reasoning), strict=True))


def judged_rooms(described: Mapping[int, Location], building: Building, alters: str, reasoning: Reasoning) -> Sequence[JudgedRoom]:
    """Those locations, in the order given. `alters`: does the work alter circuits, as the pack's table of works says.

    Each is judged as it is, and as it would be with the connections of the plan made. Raises: Contradiction, as `touched`, `connections`.
    """
    there = {index: (location, touched(location, index, building, reasoning.pack)) for index, location in described.items()}
    rooms = _Rooms(there, building, alters, reasoning)
    joined = {planned: _joined(rooms, planned) for planned in (False, True)}
    as_is, with_plan = (rooms.judged(planned, _connected(rooms, joined[planned], planned)) for planned in (False, True))
    return [
        JudgedRoom(index, location, as_is[index], joined[False].get(index), frees(as_is[index], with_plan[index], reasoning))
        for index, location in described.items()
    ]


def _joined(rooms: _Rooms, planned: bool) -> Mapping[int, Connections]:
    """The connections of each room whose metal is described; none where the pack does not judge them."""
    if CONNECTION not in rooms.reasoning.pack.outcomes or not rooms.described:
        return {}
    limits = rooms.judged(planned, dict.fromkeys(rooms.described, _UNDECIDED))
    there = {index: present for index, (_, present) in rooms.described.items() if present is not None}
    rows = [_present(present, limits[index]) for index, present in there.items()]
    return dict(zip(there, connections(rows, rooms.building, planned, rooms.reasoning), strict=True))


def _present(there: Sequence[Touched], room: Judged) -> Present:
    size = room.sizes[LIMIT]
    return Present(there, Between(size.lowest, size.highest), room.row.asked.get("operating_current", ()))


def _connected(rooms: _Rooms, joined: Mapping[int, Connections], planned: bool) -> Mapping[int, Connected]:
    if CONNECTION not in rooms.reasoning.pack.outcomes:
        return {index: Connected(connected_by_bonds(present, rooms.building, planned)) for index, (_, present) in rooms.described.items()}
    return {
        index: Connected(joined[index].hold(), joined[index].asked(rooms.reasoning)) if index in joined else _UNDECIDED
        for index in rooms.described
    }

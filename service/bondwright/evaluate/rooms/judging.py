"""The locations that are judged, each as it is and as it would be with the connections of the plan made."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bondwright.evaluate.reasoning.stages import Acting, Subject, run_stages
from bondwright.evaluate.rooms.asking import Connected
from bondwright.evaluate.rooms.connecting import Connections, Present, connections
from bondwright.evaluate.rooms.house import CONNECTION, House
from bondwright.evaluate.rooms.touched import Touched, touched
from bondwright.evaluate.rooms.touching import ROOM, connected_by_bonds, room_subject
from bondwright.evaluate.scope.deciding import Scope
from bondwright.installation.description import Installation
from bondwright.installation.rooms import Location
from bondwright.rulebook.facts import Between
from bondwright.rulebook.pack import RulePack

LIMIT = "supplementary_resistance_limit"
_UNDECIDED = Connected("unknown")


@dataclass(frozen=True, slots=True)
class JudgedRoom:
    """A location with what was concluded of it; `connections`: of what can be touched there, if the pack judges them."""

    index: int
    location: Location
    as_is: Subject
    with_plan: Subject
    connections: Connections | None


@dataclass(frozen=True, slots=True)
class _Rooms:
    """The locations to judge, with the metal that can be touched in each."""

    described: Mapping[int, tuple[Location, tuple[Touched, ...] | None]]
    house: House
    alters: str
    pack: RulePack
    acting: Acting

    def judged(self, planned: bool, connected: Mapping[int, Connected]) -> Mapping[int, Subject]:
        """Each of them judged, given what is known of its connections."""
        rows = [
            room_subject(location, index, present, connected[index], self.house, self.alters, self.pack, planned)
            for index, (location, present) in self.described.items()
        ]
        return dict(zip(self.described, run_stages(self.pack, ROOM, rows, self.acting), strict=True))


def judged_rooms(installation: Installation, house: House, aside: Scope, pack: RulePack, acting: Acting) -> Sequence[JudgedRoom]:
    """The locations that the pack judges, in the order given. Raises: Contradiction, as `touched` and `connections`."""
    described = {
        index: (location, touched(location, index, house, pack))
        for index, location in enumerate(installation.locations)
        if index not in aside.rooms
    }
    alters = pack.cell("works", installation.work.kind, "alters_circuits")
    rooms = _Rooms(described, house, alters, pack, acting)
    joined = {planned: _joined(rooms, planned) for planned in (False, True)}
    as_is, with_plan = (rooms.judged(planned, _connected(rooms, joined[planned], planned)) for planned in (False, True))
    return [
        JudgedRoom(index, location, as_is[index], with_plan[index], joined[False].get(index)) for index, (location, _) in described.items()
    ]


def _joined(rooms: _Rooms, planned: bool) -> Mapping[int, Connections]:
    """The connections of each room whose metal is described; none where the pack does not judge them."""
    if CONNECTION not in rooms.pack.outcomes or not rooms.described:
        return {}
    limits = rooms.judged(planned, dict.fromkeys(rooms.described, _UNDECIDED))
    there = {index: present for index, (_, present) in rooms.described.items() if present is not None}
    rows = [_present(present, limits[index]) for index, present in there.items()]
    return dict(zip(there, connections(rows, rooms.house, rooms.pack, planned, rooms.acting), strict=True))


def _present(there: Sequence[Touched], room: Subject) -> Present:
    size = room.sizes[LIMIT]
    return Present(there, Between(size.lowest, size.highest), room.questions.get("operating_current", ()))


def _connected(rooms: _Rooms, joined: Mapping[int, Connections], planned: bool) -> Mapping[int, Connected]:
    if CONNECTION not in rooms.pack.outcomes:
        return {index: Connected(connected_by_bonds(present, rooms.house, planned)) for index, (_, present) in rooms.described.items()}
    return {
        index: Connected(joined[index].hold(), joined[index].questions(rooms.pack)) if index in joined else _UNDECIDED
        for index in rooms.described
    }

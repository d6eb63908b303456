"""The locations that are judged, each as it is and as it would be with the connections of the plan made."""

from collections.abc import Mapping, Sequence

from msgspec import Struct

from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.rooms.asking import Asking, Connected
from bondwright.facts.rooms.building import Building
from bondwright.facts.rooms.connecting import Connections, Present, connections
from bondwright.facts.rooms.room import Room, described_room
from bondwright.facts.rooms.rows import connected_by_bonds, room_row
from bondwright.facts.rooms.touched import Touched
from bondwright.facts.row import Asked, Judged, judged
from bondwright.installation.rooms import Location
from bondwright.members import replace
from bondwright.rulebook.declared.places import PLAN, PlaceDeclared
from bondwright.rulebook.facts import Between
from bondwright.rulebook.pack import RulePack

ACTS_THAT_FREE = "acts_that_free"
"""The table of acts after which a duty may be omitted, by the fact that each brings about; that of the plan makes its connections."""
_UNDECIDED = Connected("unknown")


class JudgedRoom(Struct, frozen=True):
    """A location with what was concluded of it; `connections`: of what can be touched there, if the pack judges them.

    `place`: what the pack declares of its kind. `frees`: the one act after which its duty may be omitted, as the pack's table of such acts
    names it; none if it may be already, or more than one act is needed.
    """

    index: int
    location: Location
    place: PlaceDeclared
    judged: Judged
    connections: Connections | None
    frees: str | None


class _Rooms(Struct, frozen=True):
    """The locations to judge, by their index."""

    described: Mapping[int, Room]
    building: Building

    def judged(self, planned: bool, connected: Mapping[int, Connected], asks: bool = False) -> Mapping[int, Judged]:
        """Each of them judged, given what is known of its connections; `asks`: with what is asked behind its facts."""
        rows = [room_row(room, connected[index], self.building, planned, asks) for index, room in self.described.items()]
        return dict(zip(self.described, judged(rows, self.building.reasoning), strict=True))


def judged_rooms(described: Mapping[int, Location], building: Building, alters: str) -> Sequence[JudgedRoom]:
    """Those locations, in the order given. `alters`: does the work alter circuits, as the pack's table of works says.

    Each is judged as it is, and, where that could free it, as it would be with the connections of the plan made.
    Raises: Contradiction, as `touched`, `connections`.
    """
    reasoning = building.reasoning
    rooms = _Rooms(
        {index: described_room(location, index, alters, building) for index, location in described.items()},
        building,
    )
    places = {index: reasoning.pack.place(location.kind) for index, location in described.items()}
    joined = _joined(rooms, False)
    as_is = rooms.judged(False, _connected(rooms, joined, False), True)
    with_plan = _with_plan(rooms, places, as_is)
    return [
        JudgedRoom(index, location, place, as_is[index], joined.get(index), _frees(place, as_is[index], with_plan.get(index), reasoning))
        for index, location in described.items()
        for place in (places[index],)
    ]


def _with_plan(rooms: _Rooms, places: Mapping[int, PlaceDeclared], as_is: Mapping[int, Judged]) -> Mapping[int, Judged]:
    """Those that the plan could free of a duty, as they would be with its connections made; none, where it makes none."""
    building = rooms.building
    if building.bonded == building.bonded_with_plan:
        return {}
    pack = building.reasoning.pack
    bound = {index: room for index, room in rooms.described.items() if PLAN in _freed_by(places[index], as_is[index], pack)}
    concerned = _Rooms(bound, building)
    return concerned.judged(True, _connected(concerned, _joined(concerned, True), True)) if bound else {}


def _joined(rooms: _Rooms, planned: bool) -> Mapping[int, Connections]:
    """The connections of each room whose metal is described; none where the pack does not judge them."""
    pack = rooms.building.reasoning.pack
    there = {index: room for index, room in rooms.described.items() if pack.place(room.location.kind).parts}
    if not there:
        return {}
    limits = rooms.judged(planned, dict.fromkeys(rooms.described, _UNDECIDED))
    present = {
        index: _present(room, room.present, limits[index], rooms.building) for index, room in there.items() if room.present is not None
    }
    return dict(zip(present, connections(tuple(present.values()), rooms.building, planned), strict=True))


def _present(room: Room, there: Sequence[Touched], found: Judged, building: Building) -> Present:
    limit = building.reasoning.pack.place(room.location.kind).limit
    size = found.sizes[limit]
    return Present(room.location.kind, there, Between(size.lowest, size.highest), _about_limit(room, limit, building))


def _about_limit(room: Room, limit: str, building: Building) -> tuple[Asked, ...]:
    """What is open behind the facts from which the limit is worked out."""
    pack = building.reasoning.pack
    outcome = pack.outcomes[limit]
    read = dict.fromkeys(fact for rule in pack.rules_of(outcome.stage, outcome.of) if rule.outcome == limit for fact in pack.reads(rule))
    asking = Asking(room, building, _UNDECIDED)
    return tuple(dict.fromkeys(question for fact in read if fact in room.facts for question in asking.about(pack.fact(fact))))


def _connected(rooms: _Rooms, joined: Mapping[int, Connections], planned: bool) -> Mapping[int, Connected]:
    if not rooms.building.reasoning.pack.places.parts:
        return {index: Connected(connected_by_bonds(room.present, rooms.building, planned)) for index, room in rooms.described.items()}
    return {index: Connected(joined[index].hold(), joined[index].asked()) if index in joined else _UNDECIDED for index in rooms.described}


def _frees(place: PlaceDeclared, room: Judged, with_plan: Judged | None, reasoning: Reasoning) -> str | None:
    """The one act after which the duty may be omitted, as the table names it; none if it may be already, or more than one is needed.

    `with_plan`: the room with the connections of the plan made; none where they change nothing.
    """
    duty, freed_by = place.freed, _freed_by(place, room, reasoning.pack)
    if duty is None or not freed_by:
        return None
    now = room.levels[duty.outcome].worst_case
    if PLAN in freed_by and with_plan is not None and with_plan.levels[duty.outcome].worst_case < now:
        return PLAN
    acts = [fact for fact in freed_by if fact in room.row.facts]
    changed = [replace(room.row, facts={**room.row.facts, fact: "yes"}) for fact in acts]
    after = judged(changed, reasoning)
    return next((fact for fact, room_after in zip(acts, after, strict=True) if room_after.levels[duty.outcome].worst_case < now), None)


def _freed_by(place: PlaceDeclared, room: Judged, pack: RulePack) -> tuple[str, ...]:
    """The acts of the table that could free the room of its duty; none where it has no such duty, or that may be omitted already."""
    duty = place.freed
    if duty is None or room.levels[duty.outcome].worst_case < len(pack.outcomes[duty.outcome].levels) - 1:
        return ()
    return duty.freed_by

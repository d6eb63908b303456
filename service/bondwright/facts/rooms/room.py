"""A location as described: the metal and the circuits in it, and the facts that its pack works out of them, whatever the plan does."""

from collections.abc import Mapping, Sequence
from operator import attrgetter

from msgspec import Struct

from bondwright.conclude.elsewhere import facts_that_count
from bondwright.facts.asking import ask_field
from bondwright.facts.parts.readings import resistance_between
from bondwright.facts.rooms.building import Building
from bondwright.facts.rooms.circuits import CircuitMember
from bondwright.facts.rooms.members import METALWORK, TouchedMember
from bondwright.facts.rooms.touched import Touched, items_there, together, touched
from bondwright.facts.rooms.worked_out import Groups, Members, worked_out
from bondwright.facts.row import Asked
from bondwright.facts.told import told_of
from bondwright.installation.rooms import Location
from bondwright.rulebook.declared.places import ALTERS, KIND, OF_EARTHING, ROOM, TOGETHER, Every, Named, Ranked, Said, Some
from bondwright.rulebook.facts import FactDefinition, FactValue
from bondwright.rulebook.pack import RulePack

_CIRCUITS = "room_circuits"


class Room(Struct, frozen=True):
    """A location as described, whatever is concluded of its connections.

    `present`: the metal that can be touched in it; none if nobody described it. `groups`: what stands in it. `facts`: those that the plan
    does not change.
    """

    location: Location
    index: int
    present: Sequence[Touched] | None
    groups: Groups
    facts: Mapping[str, FactValue]

    @property
    def pointer(self) -> str:
        """Its place in the description."""
        return f"/locations/{self.index}"

    def about_metal(self, pack: RulePack) -> tuple[Asked, ...]:
        """What is asked of its metal as a whole, where that is not described."""
        return _described(self.location, self.index, pack)


def described_room(location: Location, index: int, alters: str, building: Building) -> Room:
    """A location with its facts; `alters`: does the work alter circuits. Raises: Contradiction, as `touched`."""
    pack, present = building.reasoning.pack, touched(location, index, building)
    groups = _groups(location, index, present, building)
    facts = {name: value for name, value in told_of("location", location.told, location.kind, pack).items() if ROOM in pack.facts[name].of}
    for fact in counting(location.kind, pack):
        match pack.places.facts.get(fact.name):
            case Named(name) if name == KIND:
                facts[fact.name] = pack.kind("location", location.kind).word("called", location.kind)
            case Named(name) if name == ALTERS:
                facts[fact.name] = alters
            case Named(name) if name == TOGETHER:
                facts[fact.name] = "unknown" if present is None else together(location, present)
            case Named(name) if name in OF_EARTHING:
                facts[fact.name] = building.earth.fact(name, location, fact)
            case Said(path):
                facts[fact.name] = _said(location, path, fact, pack)
            case Some() | Every() | Ranked() as form:
                facts[fact.name] = worked_out(form, fact, groups, pack)
    return Room(location, index, present, groups, facts)


def counting(kind: str, pack: RulePack) -> tuple[FactDefinition, ...]:
    """The facts of a location of that kind that may decide anything of it, in the order of the pack."""

    def found() -> tuple[FactDefinition, ...]:
        names = facts_that_count(kind, pack)
        return tuple(fact for fact in pack.facts_of(ROOM) if fact.name in names)

    return pack.derived(("facts that count", kind), found)


def _groups(location: Location, index: int, present: Sequence[Touched] | None, building: Building) -> Groups:
    pack, pointer = building.reasoning.pack, f"/locations/{index}/circuits"
    items = None if isinstance(location.items, str) else tuple(items_there(location, index, building))
    circuits = (
        None
        if isinstance(location.circuits, str)
        else tuple(CircuitMember(one, f"{pointer}/{at}", location.kind, pack) for at, one in enumerate(location.circuits))
    )
    return {
        "touched": Members(_members(present, location, building), lambda: _described(location, index, pack)),
        "items": Members(
            _members(items, location, building), lambda: ask_field(METALWORK, f"/locations/{index}/items", location.items, pack)
        ),
        "circuits": Members(circuits, lambda: ask_field(_CIRCUITS, pointer, location.circuits, pack)),
    }


def _members(present: Sequence[Touched] | None, location: Location, building: Building) -> Sequence[TouchedMember] | None:
    return None if present is None else tuple(TouchedMember(one, location.kind, building) for one in present)


def _described(location: Location, index: int, pack: RulePack) -> tuple[Asked, ...]:
    services = ask_field(METALWORK, f"/locations/{index}/services", location.services, pack)
    return (*services, *ask_field(METALWORK, f"/locations/{index}/items", location.items, pack))


def _said(location: Location, path: str, fact: FactDefinition, pack: RulePack) -> FactValue:
    said = attrgetter(path.replace("/", "."))(location)
    if fact.kind != "number":
        return str(said)
    read = resistance_between(said, pack)
    return fact.unknown() if read is None else read

"""What is open of a location: the questions behind its unknown facts, each at the field that would tell."""

from collections.abc import Iterator, Mapping
from operator import attrgetter

from msgspec import Struct

from bondwright.conclude.what_if import Answers
from bondwright.facts.asking import ask_field, ask_keys
from bondwright.facts.parts.part import Part
from bondwright.facts.rooms.building import Building
from bondwright.facts.rooms.members import METALWORK, of_metal
from bondwright.facts.rooms.room import Room, counting
from bondwright.facts.rooms.said import ask_told
from bondwright.facts.rooms.touched import Touched
from bondwright.facts.rooms.worked_out import asked, possible
from bondwright.facts.row import Asked
from bondwright.metalwork.graph import Known
from bondwright.rulebook.declared.places import CONNECTED, MAIN_BONDING, OF_EARTHING, TOGETHER, Every, Named, Ranked, Said, Some
from bondwright.rulebook.facts import NO, UNKNOWN, FactDefinition, FactValue
from bondwright.rulebook.pack import RulePack

_CONNECTED, _TOGETHER = Named(CONNECTED), Named(TOGETHER)
_TOGETHER_ASK = "equipment_together"


class Connected(Struct, frozen=True):
    """Whether every extraneous part of a room is connected to the main bonding, and what would show it."""

    holds: Known
    asked: tuple[Asked, ...] = ()


class Asking(Struct, frozen=True):
    """A room that is asked about, with what is known of its connections."""

    room: Room
    building: Building
    connected: Connected

    @property
    def pack(self) -> RulePack:
        """The pack that judges."""
        return self.building.reasoning.pack

    def asked(self, facts: Mapping[str, FactValue]) -> Mapping[str, tuple[Asked, ...]]:
        """The questions behind those of its facts that are not known."""
        definitions = [fact for fact in self._counting() if _open(facts.get(fact.name, fact.unknown()))]
        return {fact.name: self.about(fact) for fact in definitions}

    def _counting(self) -> tuple[FactDefinition, ...]:
        return counting(self.room.location.kind, self.pack)

    def about(self, fact: FactDefinition) -> tuple[Asked, ...]:
        """The questions behind one fact, once each."""
        return tuple(dict.fromkeys(self._about(fact)))

    def answers(self, facts: Mapping[str, FactValue]) -> Answers:
        """What answers can make of its open facts: first the metal, then what connects it; without equipment nothing touches equipment."""
        connected, together = self.pack.places.fact(_CONNECTED), self.pack.places.fact(_TOGETHER)
        numbers = self._numbers(facts) if self.pack.asks_what_can_move else {}
        if self.room.present is None and self.pack.places.parts:
            return Answers({**numbers, connected: ()} if connected else numbers)
        items = self.room.location.items
        if isinstance(items, str) or any(self.pack.kind("item", item.kind).word("equipment", "no") != "no" for item in items):
            return Answers(numbers)
        return Answers(numbers, implied={together: NO} if together else {})

    def _numbers(self, facts: Mapping[str, FactValue]) -> Mapping[str, tuple[FactValue, ...]]:
        """What answers can make of the open numbers that are worked out of its members, where that is less than their range."""
        found: dict[str, tuple[FactValue, ...]] = {}
        for fact in self._counting():
            form = self.pack.places.facts.get(fact.name)
            if isinstance(form, Ranked) and _open(facts.get(fact.name, fact.unknown())):
                values = possible(form, fact, self.room.groups, self.pack)
                found |= {} if values is None else {fact.name: values}
        return found

    def _about(self, fact: FactDefinition) -> Iterator[Asked]:
        match self.pack.places.facts.get(fact.name):
            case Named(name) if name in OF_EARTHING:
                yield from self.building.earth.asked(name, self.room.location, self.room.pointer, fact.name)
            case Named(name):
                yield from self._in_general(name)
            case Said(path):
                said = attrgetter(path.replace("/", "."))(self.room.location)
                yield from ask_field(fact.name, f"{self.room.pointer}/{path}", said, self.pack)
            case Some() | Every() | Ranked() as form:
                yield from asked(form, fact, self.room.groups, self.pack)
            case None:
                location = self.room.location
                yield from ask_told("location", location, fact, location.kind, self.room.pointer, self.pack)

    def _in_general(self, name: str) -> Iterator[Asked]:
        if name == TOGETHER:
            yield from self._together()
        if name == MAIN_BONDING:
            yield from self.building.about_main_bonding()
        if name == CONNECTED:
            yield from self._connections()

    def _together(self) -> Iterator[Asked]:
        yield from self.room.about_metal(self.pack)
        for touched in self.room.present or ():
            if touched.part is not None and touched.part.head.service.equipment_case == "yes":
                yield from ask_field(_TOGETHER_ASK, f"{touched.pointer}/accessible", touched.said.accessible, self.pack)
                gaps = (self.building.survey.graph.metal_gaps.get(touched.part.head.node), touched.part.head.gaps.get("protected_as"))
                yield from ask_keys(gaps, self.pack)
        for touched in self.room.present or ():
            if touched.counts == "unknown":
                yield from of_metal(touched, _TOGETHER_ASK, self.building)

    def _connections(self) -> Iterator[Asked]:
        yield from self.room.about_metal(self.pack)
        if self.pack.places.parts:
            yield from self.connected.asked
            return
        about = [tuple(self._of_connection(touched)) for touched in self.room.present or () if self._in_doubt(touched)]
        if all(about):  # else no answer shows that every part is connected
            yield from (question for questions in about for question in questions)

    def _in_doubt(self, touched: Touched) -> bool:
        return touched.counts != "no" and (touched.part is None or self.building.connected(touched.part, False) != "yes")

    def _of_connection(self, touched: Touched) -> Iterator[Asked]:
        if touched.counts == "unknown":
            yield from of_metal(touched, METALWORK, self.building)
        if touched.part is not None:
            for part in self._serving(touched.part):
                yield from self.building.about_bonds(part.name)

    def _serving(self, part: Part) -> list[Part]:
        """The parts whose bonds decide whether a part is connected: itself, or those that serve it."""
        return [part, *self.building.serving(part)]


def _open(value: FactValue) -> bool:
    return value == UNKNOWN if isinstance(value, str) else not value.known

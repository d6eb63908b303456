"""Whether each part that can be touched in a room is shown to be connected to the main bonding, and what would show it."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cache
from operator import attrgetter
from typing import TypeAlias

from msgspec import Struct

from bondwright.conclude.reasoning import Reasoning
from bondwright.errors import Contradiction, Fault
from bondwright.facts.asking import ask_field, ask_keys, ask_open
from bondwright.facts.parts.readings import shown_resistance
from bondwright.facts.rooms.building import Building
from bondwright.facts.rooms.metal_paths import MetalPaths, metal_paths
from bondwright.facts.rooms.said import ask_told, thing_of
from bondwright.facts.rooms.touched import Touched
from bondwright.facts.row import Asked, Judged, Row, judged, row_of
from bondwright.facts.told import told_of
from bondwright.installation.rooms import ConnectionReading, InRoom
from bondwright.metalwork.graph import Known
from bondwright.metalwork.keys import gap, together
from bondwright.metalwork.known import both, either, opposite
from bondwright.rulebook.declared.places import LIMIT, METAL_PATH, OWN_BOND, ROOM_PART, Named, Said
from bondwright.rulebook.facts import NO, UNKNOWN, Between, FactDefinition, Facts, FactValue
from bondwright.rulebook.pack import RulePack

_TAKEN = next(name for name, field in InRoom.model_fields.items() if field.annotation is ConnectionReading)
"""The field of the description that has the reading, what it was taken to, and how."""
_RULED_OUT = "the reading rules out the connection that is described; correct it, or describe the bond as found and the pipe as hidden"
_NOT_TAKEN = ConnectionReading()
_Leading: TypeAlias = Callable[[str], tuple[Asked, ...]]
"""What would settle whether metal leads from a node to a bond."""
_TERMINAL = ("main_earthing_terminal", "bonded_pipe")


class JudgedConnection(Struct, frozen=True):
    """A part that may be extraneous, what is concluded of its connection, and what would show it, a reading beside whatever else would.

    `outcome`: the one that says whether it is shown to be connected.
    """

    touched: Touched
    judged: Judged
    asked: tuple[Asked, ...]
    outcome: str

    @property
    def shown(self) -> Known:
        """Whether it is shown to be connected."""
        level = self.judged.levels[self.outcome]
        return "yes" if level.worst_case == 0 else "no" if level.lowest > 0 else "unknown"


class Connections(Struct, frozen=True):
    """What is concluded of the parts of one room that may be extraneous."""

    parts: tuple[JudgedConnection, ...]

    def hold(self) -> Known:
        """Whether every extraneous part is connected."""
        return both("yes", *(either(opposite(part.touched.extraneous), part.shown) for part in self.parts))

    def asked(self) -> tuple[Asked, ...]:
        """What would show those that are not shown yet."""
        return tuple(dict.fromkeys(question for part in self.parts for question in part.asked))


class Present(Struct, frozen=True):
    """What can be touched in one room of a `kind`, the limit in ohm of its bonding, and the questions behind that limit."""

    kind: str
    there: Sequence[Touched]
    limit: Between
    about_limit: tuple[Asked, ...]


def connections(rooms: Sequence[Present], building: Building, planned: bool) -> list[Connections]:
    """The connections of each room; `planned`: as they would be with the plan made, when nothing is asked of them.

    Raises: Contradiction, where a reading rules out the connection that is described.
    """
    paths = metal_paths(building.survey, dict(_bonded(building, planned)))
    leading = cache(lambda node: ask_keys(paths.gaps(node), building.reasoning.pack))
    there = [[touched for touched in room.there if touched.extraneous != "no"] for room in rooms]
    rows, named = list[Row](), _named(building.reasoning.pack)
    for room, some in zip(rooms, there, strict=True):
        writing = _Rows(room, building, planned, paths, leading, named, {}, {})
        rows += [writing.row(one) for one in some]
    concluded = judged(rows, building.reasoning)
    asked = [()] * len(rows) if planned else _asked_of(concluded, building.reasoning)
    found = zip(concluded, asked, strict=True)
    shown_by = building.reasoning.pack.places.parts
    return [Connections(tuple(JudgedConnection(touched, *next(found), shown_by) for touched in some)) for some in there]


def _asked_of(concluded: Sequence[Judged], reasoning: Reasoning) -> list[tuple[Asked, ...]]:
    """What would show each, by whatever shows it and by a reading alone; nothing where that is settled."""
    shown_by = reasoning.pack.places.parts
    open_ones = [one.row for one in concluded if not one.levels[shown_by].firm]
    by_reading = iter(judged(_only_by_reading(open_ones, reasoning.pack), reasoning))
    return [
        ()
        if one.levels[shown_by].firm
        else tuple(dict.fromkeys((*ask_open(one, shown_by, reasoning), *ask_open(next(by_reading), shown_by, reasoning))))
        for one in concluded
    ]


def _bonded(building: Building, planned: bool) -> Iterable[tuple[str, tuple[Known, str | None]]]:
    for part in building.parts:
        bonded = building.is_bonded(part, planned)
        open_of_it = building.about_bonds(part.name) if bonded == "unknown" else ()
        key = together(*(gap(question.ask, question.pointer) for question in open_of_it if question.pointer is not None))
        yield from ((node, (bonded, key)) for node in sorted(part.run) if bonded != "no")


class _Stated(Struct, frozen=True):
    """What a room says of something that can be touched in it, which holds of every part of it that shows there.

    `too_high`: does its reading rule out that it is connected. `asked`: the questions behind each fact, in the order of the pack; where
    they depend on the part as well, none.
    """

    known: Mapping[str, FactValue]
    too_high: bool
    asked: Mapping[str, tuple[Asked, ...]]


class _Rows(Struct, frozen=True):
    """The rows of one room while they are written.

    `named`: the facts that are found of a part, not said, each with what it is found by. `said`: by place in the description; `facts`: by
    that and all that is found of a part, which decide them.
    """

    room: Present
    building: Building
    planned: bool
    paths: MetalPaths
    leading: _Leading
    named: Sequence[tuple[str, str]]
    said: dict[str, _Stated]
    facts: dict[tuple[str, Known, Known], Facts]

    def row(self, touched: Touched) -> Row:
        """A part that can be touched there; parts of which the same is known share one object of facts."""
        building, pack, part = self.building, self.building.reasoning.pack, touched.part
        said = self.said.get(touched.pointer)
        if said is None:
            said = self.said[touched.pointer] = self._said(touched)
        own: Known = "unknown" if part is None else building.is_bonded(part, self.planned)
        leads: Known = "unknown" if part is None else self.paths.leads[part.head.node]
        if said.too_high and "yes" in (own, leads, touched.said.continuous_with_bonded_pipe):
            raise Contradiction((Fault(f"{touched.pointer}/connection/reading", _RULED_OUT),))
        key = (touched.pointer, own, leads)
        if key not in self.facts:
            general: Mapping[str, FactValue] = {OWN_BOND: own, METAL_PATH: leads, LIMIT: self.room.limit}
            known = {**said.known, **{fact: general[name] for fact, name in self.named}}
            self.facts[key] = row_of(pack, ROOM_PART, touched.name, touched.pointer, known).facts
        asked = dict(said.asked)
        if part is not None and not self.planned:
            for fact, name in self.named:
                if name != LIMIT:
                    asked[fact] = self.leading(part.head.node) if name == METAL_PATH else building.about_bonds(part.name)
        return Row(ROOM_PART, touched.name, touched.pointer, self.facts[key], {fact: behind for fact, behind in asked.items() if behind})

    def _said(self, touched: Touched) -> _Stated:
        pack, taken = self.building.reasoning.pack, touched.said.connection
        told = told_of(thing_of(touched.said), touched.said.told, self.room.kind, pack)
        known: dict[str, FactValue] = {name: value for name, value in told.items() if ROOM_PART in pack.facts[name].of}
        for fact in pack.facts_of(ROOM_PART):
            if isinstance(form := pack.places.facts.get(fact.name), Said):
                known[fact.name] = _said(touched, form.path, fact)
        value = shown_resistance(taken.reading, float("inf"))
        too_high = value is not None and value.lowest > self.room.limit.highest and taken.to in _TERMINAL
        return _Stated(known, too_high and not self.planned, {} if self.planned else _asked(touched, self.room, pack))


def _named(pack: RulePack) -> list[tuple[str, str]]:
    """The facts of a part that are found of it, each with what it is found by."""
    forms = ((fact.name, pack.places.facts.get(fact.name)) for fact in pack.facts_of(ROOM_PART))
    return [(fact, form.name) for fact, form in forms if isinstance(form, Named)]


def _said(touched: Touched, path: str, fact: FactDefinition) -> FactValue:
    """What the room says of a part; a reading as the instrument shows it, at most."""
    said = attrgetter(path.replace("/", "."))(touched.said)
    if fact.kind != "number":
        return str(said)
    value = shown_resistance(said, fact.highest)
    return fact.unknown() if value is None else Between(value.highest, value.highest)


def _asked(touched: Touched, room: Present, pack: RulePack) -> Mapping[str, tuple[Asked, ...]]:
    """The questions behind each fact, whatever the part; a reading of which nothing is told is asked for whole."""
    asked: dict[str, tuple[Asked, ...]] = {}
    for fact in pack.facts_of(ROOM_PART):
        match pack.places.facts.get(fact.name):
            case Said(path) if path.startswith(f"{_TAKEN}/") and touched.said.connection == _NOT_TAKEN:
                asked[fact.name] = ask_field(_reading(pack), f"{touched.pointer}/{_TAKEN}", UNKNOWN, pack)
            case Said(path):
                said = attrgetter(path.replace("/", "."))(touched.said)
                asked[fact.name] = ask_field(fact.name, f"{touched.pointer}/{path}", said, pack)
            case Named(name):
                asked[fact.name] = room.about_limit if name == LIMIT else ()
            case None:
                asked[fact.name] = ask_told(thing_of(touched.said), touched.said, fact, room.kind, touched.pointer, pack)
    return asked


def _reading(pack: RulePack) -> str:
    """The fact that is the reading itself."""
    return pack.places.fact(Said(f"{_TAKEN}/reading"))


def _only_by_reading(rows: Sequence[Row], pack: RulePack) -> list[Row]:
    """Rows as if nothing showed the connection but a reading."""
    forms = ((fact.name, pack.places.facts.get(fact.name)) for fact in pack.facts_of(ROOM_PART) if fact.kind == "yes_no")
    other = [name for name, form in forms if isinstance(form, Named) or (isinstance(form, Said) and not form.path.startswith(_TAKEN))]
    facts = {id(row.facts): {**row.facts, **dict.fromkeys(other, NO)} for row in rows}
    return [Row(row.of, row.name, row.pointer, facts[id(row.facts)], row.asked, row.answers) for row in rows]

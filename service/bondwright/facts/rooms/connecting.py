"""Whether each part that can be touched in a room is shown to be connected to the main bonding, and what would show it."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TypeAlias

from bondwright.conclude.reasoning import Reasoning
from bondwright.errors import Contradiction, Fault
from bondwright.facts.asking import ask_field, ask_keys, ask_open
from bondwright.facts.parts.readings import shown_resistance
from bondwright.facts.rooms.building import CONNECTION, Building
from bondwright.facts.rooms.metal_paths import MetalPaths, metal_paths
from bondwright.facts.rooms.touched import Touched
from bondwright.facts.row import Asked, Judged, Row, judged, row_of
from bondwright.installation.rooms import ConnectionReading
from bondwright.metalwork.graph import Known
from bondwright.metalwork.keys import gap, together
from bondwright.metalwork.known import both, either, opposite
from bondwright.rulebook.facts import NO, UNKNOWN, Between, FactValue

ROOM_PART = "room_part"
_BY_READING = dict.fromkeys(("own_bond_connects", "metal_leads_to_bond", "seen_continuous"), NO)
"""The facts by which a connection is shown without a reading, as if none of them did."""
_READING = "connection_reading"
_PLACES = {
    _READING: "reading",
    "connection_read_to": "to",
    "connection_conductors": "protective_conductors",
    "connection_read_dead": "isolated",
}
_RULED_OUT = "the reading rules out the connection that is described; correct it, or describe the bond as found and the pipe as hidden"
_NOT_TAKEN = ConnectionReading()
_Leading: TypeAlias = Callable[[str], tuple[Asked, ...]]
"""What would settle whether metal leads from a node to a bond."""
_TERMINAL = ("main_earthing_terminal", "bonded_pipe")


@dataclass(frozen=True, slots=True)
class JudgedConnection:
    """A part that may be extraneous, what is concluded of its connection, and what would show it, a reading beside whatever else would."""

    touched: Touched
    judged: Judged
    asked: tuple[Asked, ...]

    @property
    def shown(self) -> Known:
        """Whether it is shown to be connected."""
        level = self.judged.levels[CONNECTION]
        return "yes" if level.worst_case == 0 else "no" if level.lowest > 0 else "unknown"


@dataclass(frozen=True, slots=True)
class Connections:
    """What is concluded of the parts of one room that may be extraneous."""

    parts: tuple[JudgedConnection, ...]

    def hold(self) -> Known:
        """Whether every extraneous part is connected."""
        return both("yes", *(either(opposite(part.touched.extraneous), part.shown) for part in self.parts))

    def asked(self) -> tuple[Asked, ...]:
        """What would show those that are not shown yet."""
        return tuple(dict.fromkeys(question for part in self.parts for question in part.asked))


@dataclass(frozen=True, slots=True)
class Present:
    """What can be touched in one room, the limit in ohm of its bonding, and the questions behind that limit."""

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
    rows = [_row(one, room, paths, building, planned, leading) for room, some in zip(rooms, there, strict=True) for one in some]
    concluded = judged(rows, building.reasoning)
    asked = [()] * len(rows) if planned else _asked_of(concluded, building.reasoning)
    found = zip(concluded, asked, strict=True)
    return [Connections(tuple(JudgedConnection(touched, *next(found)) for touched in some)) for some in there]


def _asked_of(concluded: Sequence[Judged], reasoning: Reasoning) -> list[tuple[Asked, ...]]:
    """What would show each, by whatever shows it and by a reading alone; nothing where that is settled."""
    open_ones = [one for one in concluded if not one.levels[CONNECTION].firm]
    by_reading = iter(judged([_only_by_reading(one.row) for one in open_ones], reasoning))
    return [
        ()
        if one.levels[CONNECTION].firm
        else tuple(dict.fromkeys((*ask_open(one, CONNECTION, reasoning), *ask_open(next(by_reading), CONNECTION, reasoning))))
        for one in concluded
    ]


def _bonded(building: Building, planned: bool) -> Iterable[tuple[str, tuple[Known, str | None]]]:
    for part in building.parts:
        bonded = building.is_bonded(part, planned)
        open_of_it = building.about_bonds(part.name) if bonded == "unknown" else ()
        key = together(*(gap(question.ask, question.pointer) for question in open_of_it if question.pointer is not None))
        yield from ((node, (bonded, key)) for node in sorted(part.run) if bonded != "no")


def _row(touched: Touched, room: Present, paths: MetalPaths, building: Building, planned: bool, leading: _Leading) -> Row:
    pack, taken, part = building.reasoning.pack, touched.said.connection, touched.part
    own: Known = "unknown" if part is None else building.is_bonded(part, planned)
    leads: Known = "unknown" if part is None else paths.leads[part.head.node]
    value = shown_resistance(taken.reading, pack.fact(_READING).highest)
    known: dict[str, FactValue] = {
        "own_bond_connects": own,
        "metal_leads_to_bond": leads,
        "seen_continuous": touched.said.continuous_with_bonded_pipe,
        "connection_read_to": taken.to,
        "connection_conductors": taken.protective_conductors,
        "connection_read_dead": taken.isolated,
        "connection_limit": room.limit,
    }
    if value is not None:
        known[_READING] = Between(value.highest, value.highest)
        if not planned and value.lowest > room.limit.highest and taken.to in _TERMINAL and "yes" in (own, leads, known["seen_continuous"]):
            raise Contradiction((Fault(f"{touched.pointer}/connection/reading", _RULED_OUT),))
    asked = {} if planned else _asked(touched, room, building, leading)
    return row_of(pack, ROOM_PART, touched.name, touched.pointer, known, asked)


def _asked(touched: Touched, room: Present, building: Building, leading: _Leading) -> Mapping[str, tuple[Asked, ...]]:
    """The questions behind each fact; a reading of which nothing is told is asked for whole."""
    pack, taken = building.reasoning.pack, touched.said.connection
    whole = ask_field(_READING, f"{touched.pointer}/connection", UNKNOWN, pack)
    asked = (
        dict.fromkeys(_PLACES, whole)
        if taken == _NOT_TAKEN
        else {
            fact: ask_field(fact, f"{touched.pointer}/connection/{field}", getattr(taken, field), pack) for fact, field in _PLACES.items()
        }
    )
    told = touched.said.continuous_with_bonded_pipe
    asked["seen_continuous"] = ask_field("seen_continuous", f"{touched.pointer}/continuous_with_bonded_pipe", told, pack)
    asked["connection_limit"] = room.about_limit
    if touched.part is not None:
        asked["metal_leads_to_bond"] = leading(touched.part.head.node)
        asked["own_bond_connects"] = building.about_bonds(touched.part.name)
    return asked


def _only_by_reading(row: Row) -> Row:
    return Row(row.of, row.name, row.pointer, {**row.facts, **_BY_READING}, row.asked, row.answers)

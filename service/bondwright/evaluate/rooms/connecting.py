"""Whether each part that can be touched in a room is shown to be connected to the main bonding, and what would show it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from bondwright.errors import Contradiction, Fault
from bondwright.evaluate.answer import Question, RoomPart, Verdict
from bondwright.evaluate.readings import shown_resistance
from bondwright.evaluate.reasoning.questions import field_question, questions_of
from bondwright.evaluate.reasoning.stages import Acting, Subject, run_stages, subject
from bondwright.evaluate.reasoning.verdicts import verdict
from bondwright.evaluate.rooms.house import CONNECTION, House
from bondwright.evaluate.rooms.metal_paths import MetalPaths, metal_paths
from bondwright.evaluate.rooms.touched import Touched
from bondwright.installation.rooms import ConnectionReading
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either, opposite
from bondwright.metalwork.lengths import gap, together
from bondwright.rulebook.facts import NO, UNKNOWN, Between, FactValue
from bondwright.rulebook.pack import RulePack

ROOM_PART = "room_part"
_WITHOUT_A_READING = ("own_bond_connects", "metal_leads_to_bond", "seen_continuous")
_READING = "connection_reading"
_PLACES = {
    _READING: "reading",
    "connection_read_to": "to",
    "connection_conductors": "protective_conductors",
    "connection_read_dead": "isolated",
}
_RULED_OUT = "the reading rules out the connection that is described; correct it, or describe the bond as found and the pipe as hidden"
_NOT_TAKEN = ConnectionReading()
_TERMINAL = ("main_earthing_terminal", "bonded_pipe")


@dataclass(frozen=True, slots=True)
class Connections:
    """What is concluded of the parts of one room: each that may be extraneous, and the same part if only a reading could show it."""

    parts: tuple[tuple[Touched, Subject, Subject], ...]

    def hold(self) -> Known:
        """Whether every extraneous part is connected."""
        return both("yes", *(either(opposite(one.extraneous), _shown(judged)) for one, judged, _ in self.parts))

    def questions(self, pack: RulePack) -> tuple[Question, ...]:
        """What would show those that are not shown yet."""
        return tuple(dict.fromkeys(asked for one in self.answers(pack) for asked in one.verdict.questions))

    def answers(self, pack: RulePack) -> tuple[RoomPart, ...]:
        """Each part as it is answered."""
        return tuple(_answer(one, judged, by_reading, pack) for one, judged, by_reading in self.parts)


@dataclass(frozen=True, slots=True)
class Present:
    """What can be touched in one room, the limit in ohm of its bonding, and the questions behind that limit."""

    there: Sequence[Touched]
    limit: Between
    about_limit: tuple[Question, ...]


def connections(rooms: Sequence[Present], house: House, pack: RulePack, planned: bool, acting: Acting) -> list[Connections]:
    """The connections of each room; `planned`: as they would be with the plan made.

    Raises: Contradiction, where a reading rules out the connection that is described.
    """
    paths = metal_paths(house.found, dict(_bonded(house, planned, pack)))
    rows: list[Subject] = []
    for room in rooms:
        for one in room.there:
            if one.extraneous != "no":
                row = _subject(one, room, paths, house, pack, planned)
                rows += [row, _only_by_reading(row)]
    judged = iter(run_stages(pack, ROOM_PART, rows, acting))
    return [Connections(tuple((one, next(judged), next(judged)) for one in room.there if one.extraneous != "no")) for room in rooms]


def _bonded(house: House, planned: bool, pack: RulePack) -> Iterable[tuple[str, tuple[Known, str | None]]]:
    for part in house.parts:
        bonded = house.bonded(part, planned)
        open_of_it = house.about_bonds(part, pack) if bonded == "unknown" else ()
        key = together(*(gap(one.fact, one.pointer) for one in open_of_it if one.pointer is not None))
        yield from ((node, (bonded, key)) for node in sorted(part.run) if bonded != "no")


def _subject(one: Touched, room: Present, paths: MetalPaths, house: House, pack: RulePack, planned: bool) -> Subject:
    taken, part = one.said.connection, one.part
    own: Known = "unknown" if part is None else house.bonded(part, planned)
    leads: Known = "unknown" if part is None else paths.leads[part.head.node]
    value = shown_resistance(taken.reading, pack.fact(_READING).highest)
    known: dict[str, FactValue] = {
        "own_bond_connects": own,
        "metal_leads_to_bond": leads,
        "seen_continuous": one.said.continuous_with_bonded_pipe,
        "connection_read_to": taken.to,
        "connection_conductors": taken.protective_conductors,
        "connection_read_dead": taken.isolated,
        "connection_limit": room.limit,
    }
    if value is not None:
        known[_READING] = Between(value.highest, value.highest)
        if not planned and value.lowest > room.limit.highest and taken.to in _TERMINAL and "yes" in (own, leads, known["seen_continuous"]):
            raise Contradiction((Fault(f"{one.pointer}/connection/reading", _RULED_OUT),))
    return subject(pack, ROOM_PART, one.name, one.pointer, known, {} if planned else _questions(one, room, paths, house, pack))


def _questions(one: Touched, room: Present, paths: MetalPaths, house: House, pack: RulePack) -> Mapping[str, tuple[Question, ...]]:
    """The questions behind each fact; a reading of which nothing is told is asked for whole."""
    taken = one.said.connection
    whole = field_question(_READING, f"{one.pointer}/connection", UNKNOWN, pack)
    found = {
        fact: field_question(fact, f"{one.pointer}/connection/{field}", getattr(taken, field), pack) if taken != _NOT_TAKEN else whole
        for fact, field in _PLACES.items()
    }
    told = one.said.continuous_with_bonded_pipe
    found["seen_continuous"] = field_question("seen_continuous", f"{one.pointer}/continuous_with_bonded_pipe", told, pack)
    found["connection_limit"] = room.about_limit
    if one.part is not None:
        found["metal_leads_to_bond"] = questions_of(paths.gaps(one.part.head.node), pack)
        found["own_bond_connects"] = tuple(house.about_bonds(one.part, pack))
    return found


def _only_by_reading(one: Subject) -> Subject:
    facts = {**one.facts, **dict.fromkeys(_WITHOUT_A_READING, NO)}
    return replace(one, facts=facts, settled=dict(facts))


def _shown(one: Subject) -> Known:
    level = one.levels[CONNECTION]
    return "yes" if level.worst_case == 0 else "no" if level.lowest > 0 else "unknown"


def _answer(one: Touched, judged: Subject, by_reading: Subject, pack: RulePack) -> RoomPart:
    told = _told(judged, by_reading, pack)
    kind = pack.kind("service", one.name).word("words", one.name)
    name = f"the {kind}" if one.part is None else one.part.head.name
    return RoomPart(one.name, one.pointer, f"{name[:1].upper()}{name[1:]}: {told.words}.", told)


def _told(judged: Subject, by_reading: Subject, pack: RulePack) -> Verdict:
    """The verdict, which asks for a reading beside whatever else would show the connection."""
    told = verdict(judged, CONNECTION, pack)
    if told.firm:
        return told
    more = verdict(by_reading, CONNECTION, pack).questions
    return replace(told, questions=tuple(dict.fromkeys((*told.questions, *more))))

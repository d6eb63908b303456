"""The answer of each location: what to do, the links with their sizes, and what is reported of the bonding that is there."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from bondwright.compose.answer import RoomAnswer, RoomLink, RoomPart, Verdict
from bondwright.compose.not_judged import room_not_judged
from bondwright.compose.observations import observation
from bondwright.compose.sentences import sentence
from bondwright.compose.verdicts import size_verdict, verdict
from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.rooms.building import CONNECTION
from bondwright.facts.rooms.connecting import JudgedConnection
from bondwright.facts.rooms.judging import LIMIT, JudgedRoom
from bondwright.facts.rooms.omission import ACTS_THAT_FREE, PLAN
from bondwright.facts.rooms.rows import OUTCOME, room_id
from bondwright.facts.row import Judged
from bondwright.facts.scope import Scope, room_name
from bondwright.installation.description import InspectedWork, Installation
from bondwright.installation.rooms import Location
from bondwright.rulebook.pack import RulePack

_FOUND = "supplementary_found"
_REPORT = "room_report"
_DEVICES = "additional_protection"
_BY_DEVICES = "rcd_on_every_circuit"
_AND_DEVICES = {
    "room_nothing": "room_rcd",
    "room_omit": "room_rcd_then_omit",
    "room_bond": "room_bond_and_rcd",
    "room_bond_or": "room_bond_and_rcd",
    "room_settle": "room_settle_and_rcd",
    "room_keep": "room_keep_and_rcd",
}
_LINKS = {
    "exposed_to_extraneous_size": "the protective conductor of each circuit to each extraneous part",
    "extraneous_to_extraneous_size": "extraneous part to extraneous part",
    "exposed_to_exposed_size": "the protective conductors of the circuits to each other",
}


def room_answers(
    installation: Installation, rooms: Iterable[JudgedRoom], to_connect: Sequence[str], aside: Scope, reasoning: Reasoning
) -> tuple[RoomAnswer, ...]:
    """One answer per location, in the order given. `to_connect`: names of the parts that the plan connects. `aside`: what is not judged."""
    pack, inspected = reasoning.pack, isinstance(installation.work, InspectedWork)
    answers = {room.index: _answer(room, _once(room, to_connect, pack), inspected, reasoning) for room in rooms}
    reported = [OUTCOME, *([_REPORT] if inspected and _REPORT in pack.outcomes else [])]
    for index, location in enumerate(installation.locations):
        if index in aside.rooms:
            named = room_id(location, index), f"/locations/{index}"
            answers[index] = room_not_judged(room_name(location, index, pack), *named, aside.rooms[index], reported, pack)
    return tuple(answers[index] for index, _ in enumerate(installation.locations))


def _once(room: JudgedRoom, to_connect: Sequence[str], pack: RulePack) -> str | None:
    """The one act that would free the room, in words."""
    if room.frees is None:
        return None
    words = pack.cell(ACTS_THAT_FREE, room.frees, "words")
    return f"{words}: {', '.join(to_connect)}" if room.frees == PLAN and to_connect else words


def _answer(room: JudgedRoom, once: str | None, inspected: bool, reasoning: Reasoning) -> RoomAnswer:
    pack, found = reasoning.pack, room.judged
    told, level = _metal_first(verdict(found, OUTCOME, reasoning), room), found.levels[OUTCOME]
    devices = () if inspected or _DEVICES not in pack.outcomes else (verdict(found, _DEVICES, reasoning),)
    findings = _findings(room.location, found, inspected, reasoning)
    act = _act(told, level.worst_case, once, findings, pack)
    if devices and found.levels[_DEVICES].worst_case > 0:
        act = _with_devices(act, room.frees)
    advice, needed = pack.advice[act], level.worst_case > 1
    limit = size_verdict(found, LIMIT, reasoning)
    name = room_name(room.location, room.index, pack)
    words = {"location": name, "reading": f"{limit.lowest:.4g} ohm", "once": once or "", "duty": told.words}
    links = tuple(RoomLink(joins, size_verdict(found, size, reasoning)) for size, joins in _LINKS.items()) if needed else ()
    return RoomAnswer(
        location=found.name,
        pointer=found.pointer,
        name=name,
        act=act,
        mark=advice.mark,
        line=sentence(advice.line, words),
        customer=advice.customer,
        ways_out=advice.ways_out,
        tests=tuple(sentence(test, words) for test in advice.tests),
        omitted_once=once,
        verdicts=(told, *devices),
        links=links,
        resistance_limit=limit if level.worst_case > 0 else None,
        findings=findings,
        observation=observation([finding for finding in findings if finding.outcome == _REPORT], (), pack),
        parts=tuple(_connection(part, reasoning) for part in room.connections.parts) if room.connections and level.worst_case > 0 else (),
    )


def _metal_first(told: Verdict, room: JudgedRoom) -> Verdict:
    """The verdict, which asks for the metal of the room alone while nobody has described it."""
    fields = {"services": room.location.services, "items": room.location.items}
    wanted = {f"{room.judged.pointer}/{field}" for field, said in fields.items() if said == "unknown"}
    first = tuple(question for question in told.questions if question.pointer in wanted)
    return replace(told, questions=first) if first else told


def _act(told: Verdict, level: int, once: str | None, findings: tuple[Verdict, ...], pack: RulePack) -> str:
    """What to do; an act that an older pack has no words for gives way to the plain one."""
    plain = ("room_nothing", "room_omit", "room_bond" if told.firm else "room_settle")[level]
    shown = any(found.outcome == _FOUND and found.firm and found.worst_case == pack.outcomes[_FOUND].levels[0] for found in findings)
    better = "room_keep" if level > 1 and shown else "room_bond_or" if plain == "room_bond" and once else plain
    return better if better in pack.advice else plain


def _with_devices(act: str, frees: str | None) -> str:
    """The act with what new and altered circuits need besides; where their devices free the room, they alone."""
    return "room_rcd_then_omit" if frees == _BY_DEVICES else _AND_DEVICES[act]


def _findings(location: Location, room: Judged, inspected: bool, reasoning: Reasoning) -> tuple[Verdict, ...]:
    """What was found of the supplementary bonding, where any is required or described, and what an inspection reports."""
    asked = room.levels[OUTCOME].worst_case > 1 or location.supplementary_bonding.present != "unknown"
    wanted = [name for name, shown in ((_FOUND, asked), (_REPORT, inspected)) if shown and name in reasoning.pack.outcomes]
    return tuple(verdict(room, name, reasoning) for name in wanted)


def _connection(part: JudgedConnection, reasoning: Reasoning) -> RoomPart:
    """A part that can be touched in a room, and whether it is shown to be connected."""
    touched = part.touched
    told = verdict(part.judged, CONNECTION, reasoning, part.asked)
    kind = reasoning.pack.kind("service", touched.name).word("words", touched.name)
    name = f"the {kind}" if touched.part is None else touched.part.head.name
    return RoomPart(touched.name, touched.pointer, f"{name[:1].upper()}{name[1:]}: {told.words}.", told)

"""The answer of each location: what to do, the links with their sizes, and what is reported of the bonding that is there."""

from dataclasses import replace

from bondwright.evaluate.acts import sentence
from bondwright.evaluate.answer import RoomAnswer, RoomLink, Verdict
from bondwright.evaluate.reasoning.observations import observation
from bondwright.evaluate.reasoning.stages import Acting, Subject
from bondwright.evaluate.reasoning.verdicts import size_verdict, verdict
from bondwright.evaluate.rooms.house import House
from bondwright.evaluate.rooms.judging import LIMIT, JudgedRoom, judged_rooms
from bondwright.evaluate.rooms.omission import omitted_once
from bondwright.evaluate.rooms.touching import OUTCOME, room_id
from bondwright.evaluate.scope.answers import room_not_judged
from bondwright.evaluate.scope.deciding import Scope, room_name
from bondwright.installation.description import InspectedWork, Installation
from bondwright.installation.rooms import Location
from bondwright.rulebook.pack import RulePack

_FOUND = "supplementary_found"
_REPORT = "room_report"
_DEVICES = "additional_protection"
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


def room_answers(installation: Installation, house: House, aside: Scope, pack: RulePack, acting: Acting) -> tuple[RoomAnswer, ...]:
    """One answer per location, in the order given; `aside`: what is not judged. Raises: Contradiction, as `touched` and `connections`."""
    numbered = list(enumerate(installation.locations))
    inspected = isinstance(installation.work, InspectedWork)
    answers: dict[int, RoomAnswer] = {}
    for one in judged_rooms(installation, house, aside, pack, acting):
        once = omitted_once(one.as_is, one.with_plan, house, pack, acting)
        answers[one.index] = _answer(one, once, inspected, pack)
    reported = [OUTCOME, *([_REPORT] if inspected and _REPORT in pack.outcomes else [])]
    for index, location in numbered:
        if index in aside.rooms:
            named = room_id(location, index), f"/locations/{index}"
            answers[index] = room_not_judged(room_name(location, index, pack), *named, aside.rooms[index], reported, pack)
    return tuple(answers[index] for index, _ in numbered)


def _answer(room: JudgedRoom, once: str | None, inspected: bool, pack: RulePack) -> RoomAnswer:
    one = room.as_is
    told, level = _metal_first(verdict(one, OUTCOME, pack), room), one.levels[OUTCOME]
    devices = () if inspected or _DEVICES not in pack.outcomes else (verdict(one, _DEVICES, pack),)
    findings = _findings(room.location, one, inspected, pack)
    act = _act(told, level.worst_case, once, findings, pack)
    if devices and one.levels[_DEVICES].worst_case > 0:
        act = _with_devices(act, once, pack)
    advice, needed = pack.advice[act], level.worst_case > 1
    limit = size_verdict(one, LIMIT, pack)
    name = room_name(room.location, room.index, pack)
    words = {"location": name, "reading": f"{limit.lowest:.4g} ohm", "once": once or "", "duty": told.words}
    links = tuple(RoomLink(joins, size_verdict(one, size, pack)) for size, joins in _LINKS.items()) if needed else ()
    return RoomAnswer(
        location=one.name,
        pointer=one.pointer,
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
        observation=observation([one for one in findings if one.outcome == _REPORT], (), pack),
        parts=room.connections.answers(pack) if room.connections and level.worst_case > 0 else (),
    )


def _metal_first(told: Verdict, room: JudgedRoom) -> Verdict:
    """The verdict, which asks for the metal of the room alone while nobody has described it."""
    fields = {"services": room.location.services, "items": room.location.items}
    wanted = {f"{room.as_is.pointer}/{field}" for field, said in fields.items() if said == "unknown"}
    first = tuple(one for one in told.questions if one.pointer in wanted)
    return replace(told, questions=first) if first else told


def _act(told: Verdict, level: int, once: str | None, findings: tuple[Verdict, ...], pack: RulePack) -> str:
    """What to do; an act that an older pack has no words for gives way to the plain one."""
    plain = ("room_nothing", "room_omit", "room_bond" if told.firm else "room_settle")[level]
    shown = any(one.outcome == _FOUND and one.firm and one.worst_case == pack.outcomes[_FOUND].levels[0] for one in findings)
    better = "room_keep" if level > 1 and shown else "room_bond_or" if plain == "room_bond" and once else plain
    return better if better in pack.advice else plain


def _with_devices(act: str, once: str | None, pack: RulePack) -> str:
    """The act with what new and altered circuits need besides; where their devices free the room, they alone."""
    frees = once is not None and once == pack.rows("acts_that_free").get("rcd_on_every_circuit", {}).get("words")
    return "room_rcd_then_omit" if frees else _AND_DEVICES[act]


def _findings(location: Location, one: Subject, inspected: bool, pack: RulePack) -> tuple[Verdict, ...]:
    """What was found of the supplementary bonding, where any is required or described, and what an inspection reports."""
    asked = one.levels[OUTCOME].worst_case > 1 or location.supplementary_bonding.present != "unknown"
    wanted = [name for name, shown in ((_FOUND, asked), (_REPORT, inspected)) if shown and name in pack.outcomes]
    return tuple(verdict(one, name, pack) for name in wanted)

"""The answer of each location: what to do, the links with their sizes, and what is reported of the bonding that is there."""

from collections.abc import Iterable, Iterator, Sequence

from bondwright.compose.answer import RoomAnswer, RoomLink, RoomPart, Verdict
from bondwright.compose.not_judged import room_not_judged
from bondwright.compose.observations import observation
from bondwright.compose.sentences import sentence
from bondwright.compose.verdicts import size_verdict, verdict
from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.rooms.connecting import JudgedConnection
from bondwright.facts.rooms.judging import ACTS_THAT_FREE, JudgedRoom
from bondwright.facts.rooms.rows import room_id
from bondwright.facts.row import Judged
from bondwright.facts.scope import Scope, room_name
from bondwright.installation.description import InspectedWork, Installation
from bondwright.members import replace
from bondwright.rulebook.declared.places import PLAN, Duty, PlaceDeclared
from bondwright.rulebook.facts import UNKNOWN, YES
from bondwright.rulebook.pack import RulePack
from bondwright.said import capital, joined, together


def room_answers(
    installation: Installation, rooms: Iterable[JudgedRoom], to_connect: Sequence[str], aside: Scope, reasoning: Reasoning
) -> tuple[RoomAnswer, ...]:
    """One answer per location, in the order given. `to_connect`: names of the parts that the plan connects. `aside`: what is not judged."""
    pack, inspected = reasoning.pack, isinstance(installation.work, InspectedWork)
    answers = {room.index: _answer(room, _once(room, to_connect, pack), inspected, reasoning) for room in rooms}
    reported = pack.places.unjudged[: 2 if inspected else 1]
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
    return together(words, ": ", joined(", ", to_connect)) if room.frees == PLAN and to_connect else words


def _answer(room: JudgedRoom, once: str | None, inspected: bool, reasoning: Reasoning) -> RoomAnswer:
    pack, found = reasoning.pack, room.judged
    duties = [one for one in room.place.duties if (one.inspected or not inspected) and (not one.where or found.row.facts[one.where] == YES)]
    told = {duty.outcome: _metal_first(verdict(found, duty.outcome, reasoning), room) for duty in duties}
    findings = _findings(room.place, found, inspected, reasoning)
    advice = pack.advice[_act([*told.values(), *findings], room.frees, pack)]
    name, first = room_name(room.location, room.index, pack), told[duties[0].outcome]
    limit = size_verdict(found, room.place.limit, reasoning) if room.place.limit else None
    reading = f"{limit.lowest:.4g} {limit.unit}" if limit else ""
    words = {"location": name, "reading": reading, "once": once or "", "duty": first.words}
    in_question = [duty for duty in duties if found.levels[duty.outcome].worst_case > 0]
    parts = room.connections.parts if room.connections and any(duty.parts for duty in in_question) else ()
    return RoomAnswer(
        location=found.name,
        pointer=found.pointer,
        name=name,
        act=advice.act,
        mark=advice.mark,
        line=sentence(advice.line, words),
        customer=advice.customer,
        ways_out=advice.ways_out,
        tests=tuple(sentence(test, words) for test in advice.tests),
        omitted_once=once,
        verdicts=tuple(told.values()),
        links=tuple(_links([duty for duty in duties if _called_for(duty, found, pack)], found, reasoning)),
        resistance_limit=limit if any(duty.limit for duty in in_question) else None,
        findings=findings,
        observation=observation([finding for finding in findings if finding.outcome == room.place.report], (), pack),
        parts=tuple(_connection(part, reasoning) for part in parts),
    )


def _called_for(duty: Duty, found: Judged, pack: RulePack) -> bool:
    """Whether the most cautious level of a duty is not excluded."""
    return found.levels[duty.outcome].worst_case == len(pack.outcomes[duty.outcome].levels) - 1


def _links(duties: Iterable[Duty], found: Judged, reasoning: Reasoning) -> Iterator[RoomLink]:
    for duty in duties:
        for link in duty.links:
            yield RoomLink(link.words, size_verdict(found, link.size, reasoning))


def _metal_first(told: Verdict, room: JudgedRoom) -> Verdict:
    """The verdict, which asks for the metal of the room alone while nobody has described it."""
    fields = {"services": room.location.services, "items": room.location.items}
    wanted = {f"{room.judged.pointer}/{field}" for field, said in fields.items() if said == "unknown"}
    first = tuple(question for question in told.questions if question.pointer in wanted)
    return replace(told, questions=first) if first else told


def _act(shown: Sequence[Verdict], frees: str | None, pack: RulePack) -> str:
    """What to do: the act of the first row of the table for places that fits. Raises: Contradiction, if none does."""
    levels = {told.outcome: told.worst_case for told in shown}
    firm = {told.outcome for told in shown if told.firm}
    for row in pack.places.rows:
        if row.act in pack.advice and row.fits(levels, firm, frees):
            return row.act
    raise pack.fault(f"has no row in `joined_rooms` for {', '.join(f'{outcome} `{level}`' for outcome, level in levels.items())}")


def _findings(place: PlaceDeclared, room: Judged, inspected: bool, reasoning: Reasoning) -> tuple[Verdict, ...]:
    """What was found of each duty, where it is called for or anything of it is described, and what an inspection reports."""
    pack = reasoning.pack
    wanted = [
        duty.found for duty in place.duties if duty.found and (_called_for(duty, room, pack) or room.row.facts[duty.present] != UNKNOWN)
    ]
    return tuple(verdict(room, name, reasoning) for name in (*wanted, *([place.report] if inspected and place.report else [])))


def _connection(part: JudgedConnection, reasoning: Reasoning) -> RoomPart:
    """A part that can be touched in a room, and whether it is shown to be connected."""
    touched = part.touched
    told = verdict(part.judged, part.outcome, reasoning, part.asked)
    kind = reasoning.pack.kind("service", touched.name).word("words", touched.name)
    name = reasoning.pack.say("name_of_one", words=kind) if touched.part is None else touched.part.head.name
    return RoomPart(touched.name, touched.pointer, capital(together(name, ": ", told.words, ".")), told)

"""What is answered of things that no rule covers: nothing is cleared, nothing ordered, and who is to be asked."""

from collections.abc import Iterable, Mapping, Sequence
from typing import TypedDict

from bondwright.compose.answer import (
    BondAnswer,
    EarthingAnswer,
    FeederAnswer,
    NotJudged,
    PartAnswer,
    ReadingAnswer,
    RoomAnswer,
    SizeVerdict,
    Verdict,
)
from bondwright.compose.questions import questions
from bondwright.compose.sentences import sentence
from bondwright.conclude.reasons import Reason
from bondwright.facts.bonds import BOND
from bondwright.facts.findings import FINDING
from bondwright.facts.parts.part import PART, Part, required
from bondwright.facts.scope import Scope, Unjudged, room_name
from bondwright.installation.description import InspectedWork, Installation
from bondwright.members import replace
from bondwright.metalwork.lengths import Survey
from bondwright.rulebook.kinds import Kind
from bondwright.rulebook.pack import NOT_JUDGED, RulePack
from bondwright.said import Sentence

_LEFT = "leave"
_ANY_SIZE = "bond_size_asked"
NOT_JUDGED_THERE = "not_judged_there"
"""The act for a part that is judged, where it would be left and shows in a location that is not judged."""


def with_what_is_not_judged(
    told: Mapping[str, PartAnswer], parts: Sequence[Part], surveyed: Survey, aside: Scope, installation: Installation, pack: RulePack
) -> tuple[PartAnswer, ...]:
    """The answers of all parts in their order: those of judged ones in `told`, a word for want of rules for every other."""
    inspected = isinstance(installation.work, InspectedWork)
    shown = _shown(installation, surveyed, aside, pack)
    answers = []
    for part in parts:
        if not part.in_scope:
            answers.append(_part_not_judged(part, aside.things[part.head.belongs_to], inspected, pack))
            continue
        answer = told[part.name]
        there = next((shown[length.node] for length in part.lengths if length.node in shown), None)
        cleared = answer.mark == _LEFT and required(part, pack) == "no"
        answers.append(_shown_there(answer, there, pack) if there and cleared else answer)
    return tuple(answers)


def not_judged(
    answers: Sequence[PartAnswer], parts: Sequence[Part], rooms: Sequence[RoomAnswer], aside: Scope, pack: RulePack
) -> tuple[NotJudged, ...]:
    """Everything described that is not judged: the premises, the parts, the locations, each in the order of the answer."""
    told = [left_open(aside.premises, _premises(aside.premises, pack), "/premises", pack)] if aside.premises else []
    told += [
        left_open(aside.things[part.head.belongs_to], answer.name, answer.pointer, pack)
        for part, answer in zip(parts, answers, strict=True)
        if not part.in_scope
    ]
    return (
        *told,
        *(left_open(aside.rooms[index], room.name, room.pointer, pack) for index, room in enumerate(rooms) if index in aside.rooms),
    )


def _premises(unjudged: Unjudged, pack: RulePack) -> str:
    return unjudged.why.word("words", pack.say("name_premises"))


def _shown(installation: Installation, surveyed: Survey, aside: Scope, pack: RulePack) -> Mapping[str, NotJudged]:
    """By length, the location that is not judged and in which it is said to show."""
    return {
        node: left_open(aside.rooms[index], room_name(location, index, pack), f"/locations/{index}", pack)
        for index, location in enumerate(installation.locations)
        if index in aside.rooms and not isinstance(location.services, str)
        for service in location.services
        if service.accessible != "no"
        for node in surveyed.by_kind.get(service.kind, ())
    }


def left_open(unjudged: Unjudged, name: str, pointer: str, pack: RulePack) -> NotJudged:
    """What the answer says of a thing that is not judged. Raises: AssertionError, if its kind is judged."""
    governed = unjudged.why.governed
    assert governed is not None, "a kind that is judged leaves nothing aside"
    return NotJudged(
        pointer=pointer,
        name=name,
        of=unjudged.of,
        kind=unjudged.kind,
        section=governed.section or None,
        governed_by=governed.governed_by,
        known=governed.known,
        ask=governed.ask,
        questions=questions(unjudged.asked(pack), pack),
    )


def _part_not_judged(part: Part, unjudged: Unjudged, inspected: bool, pack: RulePack) -> PartAnswer:
    """A part of which nothing is cleared and nothing ordered, its bonds and readings included."""
    head, advice = part.head, pack.advice[NOT_JUDGED]
    told = left_open(unjudged, head.name, head.pointer, pack)
    return PartAnswer(
        part=part.name,
        pointer=head.pointer,
        name=head.name,
        kind=head.kind,
        count=head.count,
        act=NOT_JUDGED,
        mark=advice.mark,
        line=sentence(advice.line, words_of(told, head.name)),
        place="",
        customer=advice.customer,
        ways_out=advice.ways_out,
        tests=advice.tests,
        covered_by=(),
        next_reading=None,
        verdicts=_verdicts(PART, unjudged, pack),
        bonds=tuple(
            BondAnswer(
                noted.name,
                noted.pointer,
                NOT_JUDGED,
                pack.say("bond_line", bond=noted.name, told=advice.verdict),
                _verdicts(BOND, unjudged, pack),
                None,
            )
            for noted in part.bonds
        ),
        readings=tuple(
            ReadingAnswer(
                noted.name,
                noted.pointer,
                pack.say("reading_line", reading=noted.name, told=advice.verdict),
                _verdict_not_judged(pack.roles.reads, unjudged, pack),
            )
            for noted in (part.measurements if pack.roles.reads in pack.outcomes else ())
        ),
        findings=_verdicts(FINDING, unjudged, pack) if inspected else (),
    )


def _shown_there(answer: PartAnswer, there: NotJudged, pack: RulePack) -> PartAnswer:
    """The answer of a part that would be left, where it shows in a location that is not judged: not cleared there."""
    advice = pack.advice[NOT_JUDGED_THERE]
    line = sentence(advice.line, words_of(there, answer.name) | {"location": there.name})
    return replace(answer, act=NOT_JUDGED_THERE, mark=advice.mark, line=line, customer=advice.customer, ways_out=(), tests=())


class _Told(TypedDict):
    """What is told of each thing that is not judged: the act, with its words."""

    act: str
    mark: str
    line: Sentence
    customer: Sentence
    ways_out: tuple[Sentence, ...]
    tests: tuple[Sentence, ...]


def _told(unjudged: Unjudged, name: str, pointer: str, pack: RulePack) -> _Told:
    advice = pack.advice[NOT_JUDGED]
    return {
        "act": NOT_JUDGED,
        "mark": advice.mark,
        "line": sentence(advice.line, words_of(left_open(unjudged, name, pointer, pack), name)),
        "customer": advice.customer,
        "ways_out": advice.ways_out,
        "tests": advice.tests,
    }


def room_not_judged(name: str, location: str, pointer: str, unjudged: Unjudged, outcomes: Sequence[str], pack: RulePack) -> RoomAnswer:
    """A location of which nothing is cleared and nothing ordered; `outcomes`: those that its verdicts and its findings are about."""
    first, *findings = (_verdict_not_judged(outcome, unjudged, pack) for outcome in outcomes)
    return RoomAnswer(
        location=location,
        pointer=pointer,
        name=name,
        **_told(unjudged, name, pointer, pack),
        omitted_once=None,
        verdicts=(first,),
        links=(),
        resistance_limit=None,
        findings=tuple(findings),
    )


def feeder_not_judged(outcome: str, pointer: str, name: str, unjudged: Unjudged, pack: RulePack) -> FeederAnswer:
    """The circuit that feeds premises that are not judged."""
    return FeederAnswer(
        pointer=pointer,
        **_told(unjudged, name, pointer, pack),
        verdict=_verdict_not_judged(outcome, unjudged, pack),
    )


def earthing_not_judged(name: str, pointer: str, unjudged: Unjudged, pack: RulePack) -> EarthingAnswer:
    """An earthing besides that of the supply of which nothing is cleared and nothing ordered."""
    outcome = pack.roles.further_earthing
    return EarthingAnswer(
        earthing=name,
        pointer=pointer,
        name=name,
        **_told(unjudged, name, pointer, pack),
        verdicts=(_verdict_not_judged(outcome, unjudged, pack),) if outcome else (),
    )


def size_not_judged(name: str, unjudged: Unjudged, pack: RulePack) -> SizeVerdict:
    """A size for premises that are not judged: anything that a size can be."""
    reason, asked = _reason(unjudged.why, pack), questions(unjudged.asked(pack), pack)
    range_of = pack.fact(_ANY_SIZE)
    return SizeVerdict(name, pack.outcomes[name].unit, range_of.lowest, range_of.highest, None, False, asked, (reason,), reason.confidence)


def words_of(told: NotJudged, name: str) -> dict[str, str]:
    """What the sentences for things that are not judged are filled with."""
    return {"part": name, "location": name, "governed_by": told.governed_by, "known": told.known, "ask": told.ask}


def _verdict_not_judged(name: str, unjudged: Unjudged, pack: RulePack) -> Verdict:
    """The verdict on one outcome where no rule is: anything is possible, and nothing is firm."""
    outcome = pack.outcomes[name]
    reason = _reason(unjudged.why, pack)
    return Verdict(
        outcome=name,
        act_on=NOT_JUDGED,
        worst_case=outcome.levels[-1],
        words=pack.advice[NOT_JUDGED].verdict,
        firm=False,
        lowest_possible=outcome.levels[0],
        questions=questions(unjudged.asked(pack), pack),
        could_relax=(),
        because=(reason,),
        did_not_act=(),
        weakest_source=reason.confidence,
    )


def _verdicts(of: str, unjudged: Unjudged, pack: RulePack) -> tuple[Verdict, ...]:
    return tuple(_verdict_not_judged(name, unjudged, pack) for name in _names(of, pack))


def _names(of: str, pack: RulePack) -> Iterable[str]:
    return (outcome.name for outcome in pack.outcomes.values() if outcome.of == of and outcome.levels)


def _reason(kind: Kind, pack: RulePack) -> Reason:
    assert kind.governed is not None, "a kind that is judged leaves nothing aside"
    return Reason(
        rule=kind.rule_id,
        clause=kind.governed.governed_by,
        says=kind.governed.known,
        pack_id=pack.pack_id,
        pack_digest=pack.digest,
        file=kind.place.file,
        line=kind.place.line,
        origin=f"{kind.place.file}:{kind.place.line}",
        source=kind.governed.source,
        kind=kind.governed.basis,
        confidence=kind.governed.confidence,
    )

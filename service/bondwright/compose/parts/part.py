"""Each part as it is answered: the act in words, its verdicts and bonds, and the one reading that would settle most."""

from collections.abc import Mapping, Sequence

from bondwright.compose.answer import NextReading, PartAnswer, SizeVerdict, Verdict
from bondwright.compose.parts.bonds import bond_answer, bond_findings
from bondwright.compose.sentences import sentence, size_words, words_said
from bondwright.compose.verdicts import outcomes_of, verdicts
from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.bonds import JudgedBond
from bondwright.facts.conductors import ohm_per_metre
from bondwright.facts.parts.part import PART, Part
from bondwright.members import replace
from bondwright.plan.acts import LOOKING, READ_NEXT, Act
from bondwright.rulebook.facts import YES
from bondwright.rulebook.pack import COVERED, LOOK_FIRST, RulePack
from bondwright.said import together
from bondwright.units import rounded

_SETTLES = "isolation_reading"
_READING = "isolation"
_MILLI = 1000


def part_answer(
    part: Part,
    act: Act,
    bonds: Sequence[JudgedBond],
    names: Mapping[str, str],
    size: SizeVerdict,
    work: str,
    reasoning: Reasoning,
) -> PartAnswer:
    """A part as it is answered; `work`: the kind of work, as it names a row of the pack's table of works."""
    pack = reasoning.pack
    place = pack.cell("places", part.head.bond_place, "words")
    asked = size_words(size, pack.say)
    per_metre = ohm_per_metre(reasoning, size.provisional or size.highest) * _MILLI
    expected = pack.say("expected_reading", resistance=f"{per_metre:.3g}", size=asked)
    told = verdicts(part.judged, outcomes_of(PART, reasoning), reasoning)
    own = tuple(_of_part(one, part, act, pack) for one in told)
    words = {"part": names[part.name], "place": place, "size": asked, "reading": expected, "bond": bond_findings(bonds, reasoning)}
    row = pack.row("works", work)
    words |= {"departure": row.get("departure", ""), "before": together(" ", before) if (before := row.get("before")) else ""}
    words |= words_said(own, pack.roles)
    inspected = pack.cell("works", work, "inspected") == YES
    return PartAnswer(
        part=part.name,
        pointer=part.head.pointer,
        name=words["part"],
        kind=part.head.kind,
        count=part.head.count,
        act=act.name,
        mark=act.advice.mark,
        line=sentence(act.advice.line, words),
        place=place if act.advice.mark in ("do", "measure_first") else "",
        customer=act.advice.customer,
        ways_out=act.advice.ways_out,
        tests=tuple(sentence(test, words) for test in act.advice.tests),
        covered_by=act.covered_by,
        next_reading=_next_reading(part, act, words, verdicts_relax=any(_relaxes(told.could_relax) for told in own), pack=pack),
        verdicts=own,
        bonds=tuple(bond_answer(bond, inspected, reasoning) for bond in bonds),
    )


def _of_part(found: Verdict, part: Part, act: Act, pack: RulePack) -> Verdict:
    """A verdict on a part; where another part's bond serves it, or nobody said whether it has one, that is what is safe to act on."""
    outcome = pack.outcomes[found.outcome]
    if outcome.covered and act.name == COVERED and part.judged.levels[outcome.name].worst_case > 0:
        return replace(found, act_on=COVERED, words=outcome.covered, questions=())
    if outcome.look_first and act.name in LOOKING and found.firm:
        return replace(found, act_on=LOOK_FIRST, words=outcome.look_first)
    return found


def _relaxes(questions: Sequence[object]) -> bool:
    return any(getattr(question, "fact", "") == _SETTLES for question in questions)


def _next_reading(part: Part, act: Act, words: Mapping[str, str], verdicts_relax: bool, pack: RulePack) -> NextReading | None:
    if not verdicts_relax or act.name not in READ_NEXT:
        return None
    recipe = {key: sentence(text, words) for key, text in pack.readings[_READING].items()}
    limit = part.judged.facts["isolation_limit"]
    assert not isinstance(limit, str)
    return NextReading(**recipe, limit_ohm=rounded(limit.highest))

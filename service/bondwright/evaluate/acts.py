"""From duty and objection to one act per part, with the words for it, and the plan of connections."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from bondwright.evaluate.answer import NextReading, PartAnswer, SizeVerdict, Verdict
from bondwright.evaluate.bonds import NO_BOND, SERVING, JudgedBond, bond_answer, bond_state, findings
from bondwright.evaluate.earthing.calculated import WORKED_OUT
from bondwright.evaluate.parts import DUTY, PART, Part, required, stays_outside
from bondwright.evaluate.reasoning.stages import Subject
from bondwright.evaluate.reasoning.verdicts import verdict
from bondwright.evaluate.shapes.plan import Connection, Plan
from bondwright.evaluate.supply import ohm_per_metre
from bondwright.metalwork.graph import Run, runs
from bondwright.metalwork.lengths import Survey
from bondwright.metalwork.plan import connections, served
from bondwright.rulebook.facts import NO, YES
from bondwright.rulebook.pack import COVERED, LOOK_FIRST, NOT_JUDGED, Advice, RulePack
from bondwright.units import rounded

OBJECTION = "objection"
_SETTLES = "isolation_reading"
_READING = "isolation"
_MILLI = 1000
_NO_BOND = "none"
_LOOKING_FIRST = frozenset({"look_for_bond", "look_then_measure"})
_ON_SHARED = frozenset({"look_for_bond_on_shared", "look_for_both"})
LOOKING = _LOOKING_FIRST | _ON_SHARED
_READ_NEXT = frozenset({"bond", "measure_or_bond", "measure_or_repair"}) | _LOOKING_FIRST
_CONNECTING = _READ_NEXT | LOOKING | {"repair", "bond_shared", "look_or_bond", "look_or_repair"}


@dataclass(frozen=True, slots=True)
class Act:
    """What to do about a part: the act, its advice, and the parts whose connections serve it."""

    name: str
    advice: Advice
    covered_by: tuple[str, ...]


def bond_states(parts: Sequence[Part], bonds: Mapping[str, tuple[JudgedBond, ...]], pack: RulePack) -> Mapping[str, str]:
    """What the bonds of each part come to, by the part's name; on a part that is not judged none counts."""
    return {part.subject.name: bond_state(part, bonds[part.subject.name], pack) if part.judged else _NO_BOND for part in parts}


def acts(parts: Sequence[Part], states: Mapping[str, str], found: Survey, pack: RulePack) -> Mapping[str, Act]:
    """The act for each part by the part's name; `states`: what its bonds come to.

    The plan connects only what may be connected: where something speaks against a part, a potential is taken to pass on
    through it, and the next part is connected instead; so it is where no rule covers a part. Metal outside
    that may be joined to a part with a bond or connection, as a tap to a bonded pipe, stays as it is.
    """
    by_run = {part.run: part for part in parts if part.run}
    alone = {part.subject.name: _alone(part, states[part.subject.name], pack) for part in parts}
    calls: dict[Run, bool] = {run: run in by_run and _to_connect(by_run[run], alone, states, pack) for run in runs(found.graph)}
    bonded = frozenset(run for run, part in by_run.items() if states[part.subject.name] in SERVING)
    plan = connections(found.graph, calls, bonded)
    outside = [run for run, part in by_run.items() if part.judged and stays_outside(part) and states[part.subject.name] in NO_BOND]
    joined = {run: others for run, others in served(outside, frozenset(plan.connect) | bonded, found.graph).items() if others}
    covered = {**joined, **plan.covered}
    serving = {by_run[run].subject.name: tuple(by_run[one].subject.name for one in others) for run, others in covered.items()}
    serving |= {by_run[run].subject.name: _beside(run, bonded, by_run, found) for run in plan.bonded if run not in bonded}
    return alone | {
        part.subject.name: _joined(part.subject, COVERED, serving[part.subject.name], pack)
        for part in parts
        if part.subject.name in serving
    }


def _beside(run: Run, bonded: Collection[Run], by_run: Mapping[Run, Part], found: Survey) -> tuple[str, ...]:
    """The bonded parts with which a length that may be metal is certainly one piece, if it is metal."""
    ends = {end for link in found.graph.links if link.conducts == "yes" and {link.a, link.b} & run for end in (link.a, link.b)}
    return tuple(part.subject.name for other, part in by_run.items() if other in bonded and other & ends)


def _to_connect(part: Part, alone: Mapping[str, Act], states: Mapping[str, str], pack: RulePack) -> bool:
    name = part.subject.name
    return part.judged and required(part, pack) != "no" and (states[name] in SERVING or alone[name].advice.mark in ("do", "measure_first"))


def part_answer(
    part: Part,
    act: Act,
    bonds: Sequence[JudgedBond],
    names: Mapping[str, str],
    size: SizeVerdict,
    work: str,
    pack: RulePack,
) -> PartAnswer:
    """A part as it is answered; `work`: the kind of work, as it names a row of the pack's table of works."""
    place = pack.cell("places", part.head.place, "words")
    expected = f"{ohm_per_metre(pack, size.provisional or size.highest) * _MILLI:.3g} milliohm per metre of {size_words(size)}"
    verdicts = tuple(_told(part, name, act, pack) for name in pack.outcomes if pack.outcomes[name].of == PART)
    words = {"part": names[part.subject.name], "place": place, "size": size_words(size), "reading": expected, "bond": findings(bonds, pack)}
    row = pack.row("works", work)
    words |= {"departure": row.get("departure", ""), "before": f" {before}" if (before := row.get("before")) else ""}
    words |= words_said(verdicts)
    inspected = pack.cell("works", work, "inspected") == YES
    return PartAnswer(
        part=part.subject.name,
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
        next_reading=_next_reading(part, act, words, verdicts_relax=any(_relaxes(one.could_relax) for one in verdicts), pack=pack),
        verdicts=verdicts,
        bonds=tuple(bond_answer(bond, inspected, pack) for bond in bonds),
    )


def _told(part: Part, name: str, act: Act, pack: RulePack) -> Verdict:
    """A verdict on a part; where another part's bond serves it, or nobody said whether it has one, that is what is safe to act on."""
    one, outcome = verdict(part.subject, name, pack), pack.outcomes[name]
    if outcome.covered and act.name == COVERED and part.subject.levels[name].worst_case > 0:
        return replace(one, act_on=COVERED, words=outcome.covered, questions=())
    if outcome.look_first and act.name in LOOKING and one.firm:
        return replace(one, act_on=LOOK_FIRST, words=outcome.look_first)
    return one


def plan_answer(parts: Sequence[PartAnswer], size: SizeVerdict, states: Mapping[str, str]) -> Plan:
    """The plan: new connections, parts bonded already, parts covered."""
    return Plan(
        connections=tuple(Connection(part.part, part.place, size_words(size)) for part in parts if part.act in _CONNECTING),
        bonded=tuple(part.part for part in parts if states[part.part] in SERVING),
        covered=tuple(part.part for part in parts if part.act == COVERED),
    )


def words_said(verdicts: Iterable[Verdict]) -> dict[str, str]:
    """The words of duty and objection, by the names under which sentences take them; words that differ stand side by side."""
    names = {DUTY: "duty", OBJECTION: "objection"}
    words: dict[str, list[str]] = {name: [] for name in names.values()}
    for one in verdicts:
        if one.outcome in names:
            words[names[one.outcome]].append(one.words)
    return {name: "; ".join(dict.fromkeys(some)) for name, some in words.items()}


def size_words(size: SizeVerdict) -> str:
    """A size as people say it."""
    unit = size.unit.replace("mm2", "mm²")
    if size.firm:
        return f"{size.highest:g} {unit}"
    if size.provisional == size.highest:
        how = "if it is worked out" if all(asked.fact in WORKED_OUT for asked in size.questions) else "once what is open here is known"
        return f"{size.highest:g} {unit} (less, down to {size.lowest:g} {unit}, may do {how})"
    if size.provisional is not None:
        return f"{size.provisional:g} {unit} for now (confirm; up to {size.highest:g} {unit} is possible)"
    either_way = f"; {size.highest:g} {unit} serves either way" if len(size.questions) == 1 else ""
    return f"{size.lowest:g} to {size.highest:g} {unit}, still to be settled{either_way}"


def sentence(template: str, words: Mapping[str, str]) -> str:
    """A sentence of the pack with its places filled, starting with a capital."""
    text = template.format_map(words)
    return text[:1].upper() + text[1:]


def _alone(part: Part, state: str, pack: RulePack) -> Act:
    return _joined(part.subject, state, (), pack) if part.judged else Act(NOT_JUDGED, pack.advice[NOT_JUDGED], ())


def _joined(one: Subject, state: str, covered_by: tuple[str, ...], pack: RulePack) -> Act:
    duty, objection = one.levels[DUTY], one.levels[OBJECTION]
    duty_word, objection_word = (pack.outcomes[name].levels[one.levels[name].worst_case] for name in (DUTY, OBJECTION))
    for row in pack.joints:
        if row.fits(duty_word, objection_word, state, _yes(duty.firm), _yes(objection.firm)):
            shared = pack.advice[row.act].if_shared if one.facts["reaches_other_installation"] != NO else ""
            act = shared or row.act
            return Act(act, pack.advice[act], covered_by if act == COVERED else ())
    told = f"duty `{duty_word}`, objection `{objection_word}` and bond `{state}`"
    raise pack.fault(f"has no row in `joined` for {told}")


def _yes(holds: bool) -> str:
    return "yes" if holds else "no"


def _relaxes(questions: Sequence[object]) -> bool:
    return any(getattr(question, "fact", "") == _SETTLES for question in questions)


def _next_reading(part: Part, act: Act, words: Mapping[str, str], verdicts_relax: bool, pack: RulePack) -> NextReading | None:
    if not verdicts_relax or act.name not in _READ_NEXT:
        return None
    recipe = {key: sentence(text, words) for key, text in pack.readings[_READING].items()}
    limit = part.subject.facts["isolation_limit"]
    assert not isinstance(limit, str)
    return NextReading(**recipe, limit_ohm=rounded(limit.highest))

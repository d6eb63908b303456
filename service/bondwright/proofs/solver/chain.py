"""What a pack concludes of one subject, stage by stage, as the solver sees it: the meaning of `evaluate.reasoning`."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeVar

import z3
from msgspec import Struct, field

from bondwright.proofs.solver.formulas import computed, extreme
from bondwright.proofs.solver.logic import all_of, one_of
from bondwright.proofs.solver.symbols import Knowledge, Ladder, Pair, Range, Row, Told, pair
from bondwright.rulebook.condition import tests_in
from bondwright.rulebook.facts import Truth
from bondwright.rulebook.meaning import threshold
from bondwright.rulebook.pack import Outcome, RulePack
from bondwright.rulebook.rule import Polarity, Rule

Made = TypeVar("Made")


class Steps(Struct, frozen=True):
    """A level: by index, whether at least that level is the worst case, certain, and the lowest possible."""

    worst_case: tuple[z3.BoolRef, ...]
    certain: tuple[z3.BoolRef, ...]
    lowest: tuple[z3.BoolRef, ...]


class Number(Struct, frozen=True):
    """A size: its ends, whether some sizing rule acts at all, and a provisional value where one is provided."""

    ends: Range
    spoken: z3.BoolRef
    provided: z3.BoolRef
    provisional: z3.ArithRef


class Written(Struct, frozen=True):
    """Formulas by what they were written of: those that another chain has already, and those of this one alone.

    A key holds the very objects that a formula was made of: a pack with one rule changed has all others in common with the first.
    """

    there: Mapping[tuple[object, ...], tuple[Any, tuple[object, ...]]]
    here: dict[tuple[object, ...], tuple[Any, tuple[object, ...]]] = field(default_factory=dict)

    def once(self, what: tuple[object, ...], of: tuple[object, ...], write: Callable[[], Made]) -> Made:
        """What `write` gives, taken from the other chain where that wrote it of the same objects."""
        key = (*what, *map(id, of))
        held = self.there.get(key) or (write(), of)  # the objects are held, so that no other takes the place of one
        self.here[key] = held
        found: Made = held[0]
        return found


class Chain(Struct, frozen=True):
    """All that is concluded from some knowledge.

    `holds`: each rule's condition on the certain row. `acts`: whether the rule acts. `levels`, `sizes`: the outcomes.
    `written`: its formulas.
    """

    known: Knowledge
    holds: Mapping[str, Pair]
    acts: Mapping[str, z3.BoolRef]
    levels: Mapping[str, Steps]
    sizes: Mapping[str, Number]
    written: Written


def chain(pack: RulePack, of: str, known: Knowledge, least: Callable[[Polarity], Truth] = threshold, beside: Chain | None = None) -> Chain:
    """What `pack` concludes of a subject of kind `of`, every stage in its order; a rule acts from the truth that `least` gives.

    `beside`: what another pack concludes of the same knowledge; what the two make of the same is written once.
    """
    made = Written({} if beside is None else beside.written.here)
    holds: dict[str, Pair] = {}
    acts: dict[str, z3.BoolRef] = {}
    levels: dict[str, Steps] = {}
    sizes: dict[str, Number] = {}
    facts: dict[str, Told | Range | Ladder] = dict(known.row)
    certain: dict[str, Told | Range | Ladder] = dict(known.row)
    aside = frozenset(fact.name for fact in pack.facts_of(of) if fact.evidence)
    for stage in pack.stages:
        rules = pack.rules_of(stage, of)
        read = {rule.rule_id: _ruled(rule, pack, facts, certain, aside, least, made) for rule in rules}
        on_facts = {name: one.on_facts for name, one in read.items()}
        holds |= {name: one.holds for name, one in read.items()}
        acts |= {name: one.acts for name, one in read.items()}
        surely = {name: one.surely for name, one in read.items()}
        for_now = {name: one.for_now for name, one in read.items()}
        concluded = [outcome for outcome in pack.outcomes.values() if outcome.of == of and outcome.stage == stage]
        for outcome in concluded:
            if outcome.levels:
                levels[outcome.name] = Steps(*(_steps(outcome, pack, by, made) for by in (acts, for_now, surely)))
            else:
                sizes[outcome.name] = _number(outcome, pack, acts, on_facts, facts, made)
        for outcome in concluded:
            if outcome.levels:
                facts[outcome.name], certain[outcome.name] = _ladders(levels[outcome.name], made)
            else:
                facts[outcome.name] = certain[outcome.name] = sizes[outcome.name].ends
    return Chain(known, holds, acts, levels, sizes, made)


class _Ruled(Struct, frozen=True):
    """Of one rule: where its condition holds, by level and on the certain row; whether it acts, surely acts, and acts for now."""

    on_facts: Pair
    holds: Pair
    acts: z3.BoolRef
    surely: z3.BoolRef
    for_now: z3.BoolRef


def _ruled(
    rule: Rule, pack: RulePack, facts: Row, certain: Row, aside: frozenset[str], least: Callable[[Polarity], Truth], made: Written
) -> _Ruled:
    def ruled() -> _Ruled:
        on_facts = pair(rule.when, facts)
        holds = pair(rule.when, certain) if _reads_levels(rule, pack) else on_facts
        told = pair(rule.when, certain, aside) if rule.polarity is Polarity.RELAXES else holds
        return _Ruled(on_facts, holds, _at(least(rule.polarity), holds), _surely(rule, on_facts), _surely(rule, told))

    names = dict.fromkeys(name for test in tests_in(rule.when) for name in (test.fact, test.operand) if isinstance(name, str))
    return made.once(("rule", aside), (rule.when, rule.polarity, least, *(row[name] for row in (facts, certain) for name in names)), ruled)


def _ladders(steps: Steps, made: Written) -> tuple[Ladder, Ladder]:
    """A level as what is told of it, and for certain."""

    def ladders() -> tuple[Ladder, Ladder]:
        both = tuple(all_of([one, other]) for one, other in zip(steps.certain, steps.worst_case, strict=True))
        return Ladder(steps.lowest, steps.worst_case), Ladder(both, steps.worst_case)

    return made.once(("ladders",), (steps.worst_case, steps.certain, steps.lowest), ladders)


def _reads_levels(rule: Rule, pack: RulePack) -> bool:
    """Whether its condition can hold otherwise on the certain row: only levels of earlier outcomes differ there."""
    return any(test.fact in pack.outcomes for test in tests_in(rule.when))


def _at(least: Truth, holds: Pair) -> z3.BoolRef:
    return holds.surely if least is Truth.TRUE else z3.Not(holds.surely_not)


def _surely(rule: Rule, holds: Pair) -> z3.BoolRef:
    return _at(Truth.UNKNOWN if rule.polarity is Polarity.RELAXES else Truth.TRUE, holds)


def _steps(outcome: Outcome, pack: RulePack, acts: Mapping[str, z3.BoolRef], made: Written) -> tuple[z3.BoolRef, ...]:
    raising = pack.raising(outcome)

    def steps() -> tuple[z3.BoolRef, ...]:
        stands = [
            (outcome.levels.index(rule.level), all_of([acts[rule.rule_id], z3.Not(_cancelled(rule, pack, acts))])) for rule in raising
        ]
        above = [one_of([raised for level, raised in stands if level >= step]) for step in range(1, len(outcome.levels))]
        return (z3.BoolVal(True), *above)

    against = [relaxing for rule in raising for relaxing in (rule, *pack.against(rule))]
    rules = [other for relaxing in against for other in (relaxing, *pack.against(relaxing))]
    return made.once(("steps",), (outcome, *rules, *(acts[rule.rule_id] for rule in rules)), steps)


def _cancelled(rule: Rule, pack: RulePack, acts: Mapping[str, z3.BoolRef]) -> z3.BoolRef:
    return one_of(
        [
            all_of([acts[relaxing.rule_id], *(z3.Not(acts[other.rule_id]) for other in pack.against(relaxing))])
            for relaxing in pack.against(rule)
        ]
    )


def _number(
    outcome: Outcome, pack: RulePack, acts: Mapping[str, z3.BoolRef], on_facts: Mapping[str, Pair], facts: Row, made: Written
) -> Number:
    rules = [rule for rule in pack.rules_of(outcome.stage, outcome.of) if rule.outcome == outcome.name]
    names = dict.fromkeys(name for rule in rules for name in pack.reads(rule))
    by = (one for rule in rules for one in (acts[rule.rule_id], on_facts[rule.rule_id]))
    rests_on = (outcome, pack.tables, *rules, *by, *(facts[name] for name in names))
    return made.once(("number", pack.bounds_for_now), rests_on, lambda: _number_of(outcome, rules, pack, acts, on_facts, facts))


def _number_of(
    outcome: Outcome, rules: Sequence[Rule], pack: RulePack, acts: Mapping[str, z3.BoolRef], on_facts: Mapping[str, Pair], facts: Row
) -> Number:
    ranges = {rule.rule_id: computed(rule.form, facts, pack.tables) for rule in rules if rule.form is not None}
    sizing = [rule.rule_id for rule in rules if rule.polarity is Polarity.SIZES]
    provided = [rule.rule_id for rule in rules if rule.polarity is Polarity.PROVIDES]
    possible_lowest = [(acts[one], ranges[one].lowest) for one in sizing]
    possible_highest = [(acts[one], ranges[one].highest) for one in sizing]
    some_certain = one_of([on_facts[one].surely for one in sizing])
    if outcome.cautious == "larger":
        certain = extreme([(on_facts[one].surely, ranges[one].lowest) for one in sizing], larger=True)
        lowest = z3.If(some_certain, certain, extreme(possible_lowest, larger=False))
        highest = extreme(possible_highest, larger=True)
    else:
        certain = extreme([(on_facts[one].surely, ranges[one].highest) for one in sizing], larger=False)
        lowest = extreme(possible_lowest, larger=False)
        highest = z3.If(some_certain, certain, extreme(possible_highest, larger=True))
    for_now = extreme([(acts[one], ranges[one].highest) for one in provided], larger=True)
    if pack.bounds_for_now:
        larger = outcome.cautious == "larger"
        for_now = z3.If(for_now < lowest, lowest, for_now) if larger else z3.If(for_now > highest, highest, for_now)
    return Number(
        Range(lowest, highest),
        one_of([acts[one] for one in sizing]),
        all_of([one_of([acts[one] for one in provided]), lowest != highest]),
        for_now,
    )

"""Which of the facts that are open could move an outcome, by themselves or together with others."""

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product
from math import prod

from bondwright.conclude.conclusion import Conclusion
from bondwright.conclude.levels import level_of
from bondwright.conclude.sizes import size_of
from bondwright.rulebook.condition import tests_in
from bondwright.rulebook.facts import NO, YES, Between, Facts, FactValue
from bondwright.rulebook.meaning import Acts, acting, acts
from bondwright.rulebook.memory import Memory, remembered
from bondwright.rulebook.pack import Outcome, RulePack
from bondwright.rulebook.rule import Rule

MOST_WORLDS = 100
"""Up to so many combinations of answers are tried where no single one moves anything; beyond that, pairs."""


@dataclass(frozen=True, slots=True)
class Answers:
    """What answers can make of the open facts of a row.

    `possible`: of a fact, where that is less than its kind allows. `implied`: the one value that what is told leaves it, whatever is
    answered.
    """

    possible: Mapping[str, tuple[FactValue, ...]] = field(default_factory=dict)
    implied: Mapping[str, FactValue] = field(default_factory=dict)
    key: Hashable = field(init=False, repr=False, compare=False)
    """The same as a value."""

    def __post_init__(self) -> None:
        """Makes the key, which is asked for at every outcome."""
        object.__setattr__(self, "key", (tuple(self.possible.items()), tuple(self.implied.items())))

    def of(self, fact: str, now: FactValue, pack: RulePack) -> tuple[FactValue, ...]:
        """What the fact could turn out to be: of a number the ends of what is possible."""
        if fact in self.implied:
            return (self.implied[fact],)
        if fact in self.possible:
            return self.possible[fact]
        if isinstance(now, Between):
            return tuple(dict.fromkeys((Between(now.lowest, now.lowest), Between(now.highest, now.highest))))
        return tuple(pack.facts[fact].choices) or (YES, NO)


def moving(
    conclusion: Conclusion,
    undecided: Sequence[str],
    answers: Answers,
    outcome: Outcome,
    level: str | Between,
    pack: RulePack,
    memory: Memory,
) -> tuple[tuple[str, ...], bool]:
    """Those of the undecided facts that move the outcome alone; where none does, those that do together with others, and that it is so.

    An outcome moves where what is answered of it differs: at worst, whether that is firm, what is safe to act on, a size. With a `level`
    only whether it comes to that level counts; of a size, whether it is more than that. Earlier outcomes move with their facts.
    """
    if not undecided:
        return (), False
    what_if = _WhatIf.of(conclusion, answers, outcome, level, pack, memory)
    values = {fact: answers.of(fact, conclusion.facts[fact], pack) for fact in undecided}
    now = what_if.seen({})
    alone = tuple(fact for fact in undecided if any(what_if.seen({fact: value}) != now for value in values[fact]))
    if alone or len(undecided) < 2:
        return alone, False
    all_worlds = prod(len(possible) + 1 for possible in values.values()) <= MOST_WORLDS
    together = tuple(fact for fact in undecided if _moves_beside(fact, values, what_if, all_worlds))
    return together or (() if all_worlds else tuple(undecided)), True


def _moves_beside(fact: str, values: Mapping[str, Sequence[FactValue]], what_if: "_WhatIf", all_worlds: bool) -> bool:
    other_facts = [other_fact for other_fact in values if other_fact != fact]
    worlds = (
        _worlds(other_facts, values) if all_worlds else ({other_fact: value} for other_fact in other_facts for value in values[other_fact])
    )
    return any(what_if.seen({**world, fact: value}) != what_if.seen(world) for world in worlds for value in values[fact])


def _worlds(facts: Sequence[str], values: Mapping[str, Sequence[FactValue]]) -> Iterator[Mapping[str, FactValue]]:
    for chosen in product(*((None, *values[fact]) for fact in facts)):
        yield {fact: value for fact, value in zip(facts, chosen, strict=True) if value is not None}


@dataclass(frozen=True, slots=True)
class _WhatIf:
    """One outcome of one row, the outcomes that it rests on by stage, and what was seen before.

    `at_worst`: the rules that act as the row is known. `named`: the facts and outcomes that each rule names.
    """

    conclusion: Conclusion
    outcome: Outcome
    level: str | Between
    pack: RulePack
    stages: Sequence[tuple[Sequence[Rule], Sequence[Outcome]]]
    named: Mapping[str, frozenset[str]]
    at_worst: frozenset[str]
    implied: Mapping[str, FactValue]
    before: dict[Hashable, Hashable]

    @staticmethod
    def of(conclusion: Conclusion, answers: Answers, outcome: Outcome, level: str | Between, pack: RulePack, memory: Memory) -> "_WhatIf":
        key = (pack.digest, "rests on", outcome.name)
        stages, named = remembered(memory, key, lambda: _rests_on(outcome, pack))
        worst_key = (pack.digest, "at worst", outcome.name, conclusion.alike)
        at_worst = remembered(memory, worst_key, lambda: frozenset[str]().union(*(acting(rules, conclusion.facts) for rules, _ in stages)))
        return _WhatIf(conclusion, outcome, level, pack, stages, named, at_worst, answers.implied, {})

    def seen(self, known: Mapping[str, FactValue]) -> Hashable:
        """What would be answered of the outcome if more were known."""
        key = frozenset(known.items())
        if key not in self.before:
            self.before[key] = self._seen({**self.implied, **known})
        return self.before[key]

    def _seen(self, known: Mapping[str, FactValue]) -> Hashable:
        facts, certain = {**self.conclusion.facts, **known}, {**self.conclusion.certain, **known}
        told = Acts(self.at_worst, self.conclusion.acts.certain, self.conclusion.acts.lowest)
        changed = set(known)
        for rules, outcomes in self.stages:
            told = self._moved(self._naming(rules, changed), facts, certain, told)
            for outcome in outcomes:
                if outcome is self.outcome:
                    return self._answered(told, facts)
                lowest_on, certain_on = self._between(outcome, told, facts)
                if (lowest_on, certain_on) != (facts[outcome.name], certain[outcome.name]):
                    facts[outcome.name], certain[outcome.name] = lowest_on, certain_on
                    changed.add(outcome.name)
        raise AssertionError("an outcome rests on itself last")

    def _naming(self, rules: Sequence[Rule], changed: set[str]) -> list[Rule]:
        """Those of the rules of a stage that name something that changed."""
        named = self.named
        return [rule for rule in rules if not named[rule.rule_id].isdisjoint(changed)]

    def _moved(self, rules: Sequence[Rule], facts: Facts, certain: Facts, before: Acts) -> Acts:
        """The rules that act, those in question read again."""
        if not rules:
            return before
        in_question = frozenset([rule.rule_id for rule in rules])
        again = acts(rules, facts, certain, self.pack.evidence_of(self.outcome.of))
        return Acts(
            before.worst_case - in_question | acting(rules, facts),
            before.certain - in_question | again.certain,
            before.lowest - in_question | again.lowest,
        )

    def _between(self, outcome: Outcome, told: Acts, facts: Facts) -> tuple[FactValue, FactValue]:
        """An earlier outcome as later stages see it: from its lowest, and from its certain level."""
        if not outcome.levels:
            size = size_of(outcome, self.pack, told, facts)
            return Between(size.lowest, size.highest), Between(size.lowest, size.highest)
        level = level_of(outcome, self.pack, told)
        return Between(level.lowest, level.worst_case), Between(min(level.certain, level.worst_case), level.worst_case)

    def _answered(self, told: Acts, facts: Facts) -> Hashable:
        outcome = self.outcome
        if not outcome.levels:
            size = size_of(outcome, self.pack, told, facts)
            if isinstance(self.level, Between):
                return size.lowest > self.level.highest, size.highest > self.level.lowest
            return size.lowest, size.highest, size.provisional
        level = level_of(outcome, self.pack, told)
        if isinstance(self.level, str) and self.level:
            index = outcome.levels.index(self.level)
            return level.worst_case >= index, level.certain >= index
        least, unsettled = min(level.lowest, level.worst_case), outcome.unsettled
        found = least if unsettled is not None and outcome.levels[least] in unsettled.at_least else None
        return level.worst_case, level.firm, None if level.firm else found


def _rests_on(outcome: Outcome, pack: RulePack) -> tuple[Sequence[tuple[Sequence[Rule], Sequence[Outcome]]], Mapping[str, frozenset[str]]]:
    """The stages of the outcome and of the earlier ones that its rules test or read, and what each of those stages' rules names."""
    needed, named = [outcome], {}
    for earlier in needed:  # grows while it is walked
        for rule in pack.rules_of(earlier.stage, earlier.of):
            tested = {name for test in tests_in(rule.when) for name in (test.fact, test.operand) if isinstance(name, str)}
            named[rule.rule_id] = frozenset({*tested, *pack.reads(rule)})
            needed += [pack.outcomes[name] for name in named[rule.rule_id] if name in pack.outcomes and pack.outcomes[name] not in needed]
    stages = [
        (pack.rules_of(stage, outcome.of), [earlier for earlier in needed if earlier.stage == stage])
        for stage in pack.stages
        if any(earlier.stage == stage for earlier in needed)
    ]
    return stages, named

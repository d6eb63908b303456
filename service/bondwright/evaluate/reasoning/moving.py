"""Which of the facts that are open could move an outcome, by themselves or together with others."""

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import prod

from bondwright.evaluate.reasoning.ladder import Standing, conclude_level, conclude_size, standing
from bondwright.evaluate.reasoning.stages import Subject
from bondwright.rulebook.condition import tests_in
from bondwright.rulebook.facts import NO, YES, Between, FactValue
from bondwright.rulebook.meaning import threshold
from bondwright.rulebook.pack import Outcome, RulePack
from bondwright.rulebook.rule import Rule

MOST_WORLDS = 100
"""Up to so many combinations of answers are tried where no single one moves anything; beyond that, pairs."""


def moving(one: Subject, undecided: Sequence[str], outcome: Outcome, level: str | Between, pack: RulePack) -> tuple[tuple[str, ...], bool]:
    """Those of the undecided facts that move the outcome alone; where none does, those that do together with others, and that it is so.

    An outcome moves where what is answered of it differs: at worst, whether that is firm, what is safe to act on, a size. With a `level`
    only whether it comes to that level counts; of a size, whether it is more than that. Earlier outcomes move with their facts.
    """
    if not undecided:
        return (), False
    what_if = _WhatIf.of(one, outcome, level, pack)
    values = {fact: tuple(_answers(one, fact, pack)) for fact in undecided}
    now = what_if.concluded({})
    alone = tuple(fact for fact in undecided if any(what_if.concluded({fact: value}) != now for value in values[fact]))
    if alone or len(undecided) < 2:
        return alone, False
    all_worlds = prod(len(some) + 1 for some in values.values()) <= MOST_WORLDS
    together = tuple(fact for fact in undecided if _moves_beside(fact, values, what_if, all_worlds))
    return together or (() if all_worlds else tuple(undecided)), True


def _moves_beside(fact: str, values: Mapping[str, Sequence[FactValue]], what_if: "_WhatIf", all_worlds: bool) -> bool:
    others = [other for other in values if other != fact]
    worlds = _worlds(others, values) if all_worlds else ({other: value} for other in others for value in values[other])
    return any(what_if.concluded({**world, fact: value}) != what_if.concluded(world) for world in worlds for value in values[fact])


def _worlds(facts: Sequence[str], values: Mapping[str, Sequence[FactValue]]) -> Iterator[Mapping[str, FactValue]]:
    for chosen in product(*((None, *values[fact]) for fact in facts)):
        yield {fact: value for fact, value in zip(facts, chosen, strict=True) if value is not None}


@dataclass(frozen=True, slots=True)
class _WhatIf:
    """One outcome of one subject, the outcomes that it rests on by stage, and what was concluded before.

    `settled`: facts of which only one value is left.
    """

    one: Subject
    outcome: Outcome
    level: str | Between
    pack: RulePack
    stages: Sequence[tuple[Sequence[Rule], Sequence[Outcome]]]
    named: Mapping[str, frozenset[str]]
    evidence: frozenset[str]
    settled: Mapping[str, FactValue]
    before: dict[Hashable, Hashable]

    @staticmethod
    def of(one: Subject, outcome: Outcome, level: str | Between, pack: RulePack) -> "_WhatIf":
        needed, named = pack.remembered(("rests on", outcome.name), lambda: _rests_on(outcome, pack))
        stages = [
            (pack.rules_of(stage, one.of), [earlier for earlier in needed if earlier.stage == stage])
            for stage in pack.stages
            if any(earlier.stage == stage for earlier in needed)
        ]
        evidence = frozenset(definition.name for definition in pack.facts_of(one.of) if definition.evidence)
        return _WhatIf(one, outcome, level, pack, stages, named, evidence, one.implied, {})

    def concluded(self, known: Mapping[str, FactValue]) -> Hashable:
        """What would be answered of the outcome if more were known."""
        key = frozenset(known.items())
        if key not in self.before:
            self.before[key] = self._concluded({**self.settled, **known})
        return self.before[key]

    def _concluded(self, known: Mapping[str, FactValue]) -> Hashable:
        facts, settled, stands = {**self.one.facts, **known}, {**self.one.settled, **known}, self.one.stands
        changed = set(known)
        for rules, outcomes in self.stages:
            stands = stands.and_also(standing((one for one in rules if self.named[one.rule_id] & changed), facts, settled, self.evidence))
            acting = frozenset(rule.rule_id for rule in rules if stands.known[rule.rule_id] >= threshold(rule.polarity))
            for outcome in outcomes:
                if outcome is self.outcome:
                    return self._seen(acting, facts, stands)
                possible, sure = self._between(outcome, acting, facts, stands)
                if (possible, sure) != (facts[outcome.name], settled[outcome.name]):
                    facts[outcome.name], settled[outcome.name] = possible, sure
                    changed.add(outcome.name)
        raise AssertionError("an outcome rests on itself last")

    def _between(
        self, outcome: Outcome, acting: frozenset[str], facts: Mapping[str, FactValue], stands: Standing
    ) -> tuple[FactValue, FactValue]:
        if not outcome.levels:
            size = conclude_size(outcome, self.pack, acting, facts, stands)
            return Between(size.lowest, size.highest), Between(size.lowest, size.highest)
        level = conclude_level(outcome, self.pack, acting, stands)
        return Between(level.lowest, level.worst_case), Between(min(level.settled, level.worst_case), level.worst_case)

    def _seen(self, acting: frozenset[str], facts: Mapping[str, FactValue], stands: Standing) -> Hashable:
        outcome = self.outcome
        if not outcome.levels:
            size = conclude_size(outcome, self.pack, acting, facts, stands)
            if isinstance(self.level, Between):
                return size.lowest > self.level.highest, size.highest > self.level.lowest
            return size.lowest, size.highest, size.provisional
        level = conclude_level(outcome, self.pack, acting, stands)
        if isinstance(self.level, str) and self.level:
            index = outcome.levels.index(self.level)
            return level.worst_case >= index, level.settled >= index
        least, unsettled = min(level.lowest, level.worst_case), outcome.unsettled
        found = least if unsettled is not None and outcome.levels[least] in unsettled.at_least else None
        return level.worst_case, level.firm, None if level.firm else found


def _rests_on(outcome: Outcome, pack: RulePack) -> tuple[list[Outcome], Mapping[str, frozenset[str]]]:
    """The outcome with the earlier ones that its rules test or read, and what each of those stages' rules names."""
    needed, named = [outcome], {}
    for one in needed:  # grows while it is walked
        for rule in pack.rules_of(one.stage, one.of):
            tested = {name for test in tests_in(rule.when) for name in (test.fact, test.operand) if isinstance(name, str)}
            named[rule.rule_id] = frozenset({*tested, *pack.reads(rule)})
            needed += [pack.outcomes[name] for name in named[rule.rule_id] if name in pack.outcomes and pack.outcomes[name] not in needed]
    return needed, named


def _answers(one: Subject, fact: str, pack: RulePack) -> Iterator[FactValue]:
    """What it could turn out to be: of a number the ends of what is possible."""
    now = one.facts[fact]
    if fact in one.implied:
        yield one.implied[fact]
    elif fact in one.possible:
        yield from one.possible[fact]
    elif isinstance(now, Between):
        yield from dict.fromkeys((Between(now.lowest, now.lowest), Between(now.highest, now.highest)))
    else:
        yield from pack.facts[fact].choices or (YES, NO)

"""Which of the facts that are open could move an outcome, by themselves or together with others."""

from collections.abc import Hashable, Iterator, Mapping, Sequence, Set
from itertools import product
from math import prod

from msgspec import Struct, field

from bondwright.conclude.conclusion import Conclusion, Level, Size
from bondwright.conclude.functions import RuleRead, rules_read
from bondwright.conclude.levels import highest
from bondwright.conclude.sizes import size_where
from bondwright.rulebook.facts import NO, YES, Between, Facts, FactValue
from bondwright.rulebook.meaning import without_evidence
from bondwright.rulebook.memory import Memory, remembered
from bondwright.rulebook.pack import Outcome, RulePack

MOST_WORLDS = 100
"""Up to so many combinations of answers are tried where no single one moves anything; beyond that, pairs."""
_UNMOVED = "unmoved"


class Answers(Struct, frozen=True):
    """What answers can make of the open facts of a row.

    `possible`: of a fact, where that is less than its kind allows. `implied`: the one value that what is told leaves it, whatever is
    answered.
    """

    possible: Mapping[str, tuple[FactValue, ...]] = field(default_factory=dict)
    implied: Mapping[str, FactValue] = field(default_factory=dict)

    @property
    def key(self) -> Hashable:
        """The same as a value."""
        return (tuple(self.possible.items()), tuple(self.implied.items())) if self.possible or self.implied else ()

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
    alone = tuple([fact for fact in undecided if any(what_if.seen({fact: value}) != now for value in values[fact])])
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


class _Needed(Struct, frozen=True):
    """An outcome that is needed: the rules that bear on it by id, its own and those that relax or block them, and what they compute from.

    Nothing else decides what it comes to but which of these act.
    """

    outcome: Outcome
    rules: frozenset[str]
    reads: frozenset[str]

    @staticmethod
    def of(outcome: Outcome, bearing: Sequence[RuleRead]) -> "_Needed":
        reads = frozenset[str]().union(*(one.reads for one in bearing))
        return _Needed(outcome, frozenset(one.rule_id for one in bearing), reads)


class _Stage(Struct, frozen=True):
    """A stage of those that an outcome rests on.

    `outcomes`: those that are needed. `rules`: those that bear on them; `naming`: those that name a fact or earlier outcome, by that.
    """

    rules: Sequence[RuleRead]
    naming: Mapping[str, Sequence[RuleRead]]
    outcomes: Sequence[_Needed]


class _WhatIf(Struct, frozen=True):
    """One outcome of one row, the stages that it rests on, and what was seen before.

    `at_worst`: the rules that act as the row is known. `still`: what comes out where nothing changed, by outcome.
    """

    conclusion: Conclusion
    outcome: Outcome
    level: str | Between
    pack: RulePack
    stages: Sequence[_Stage]
    at_worst: Set[str]
    implied: Mapping[str, FactValue]
    evidence: frozenset[str]
    before: dict[Hashable, Hashable]
    still: dict[str, tuple[FactValue, FactValue]]

    @staticmethod
    def of(conclusion: Conclusion, answers: Answers, outcome: Outcome, level: str | Between, pack: RulePack, memory: Memory) -> "_WhatIf":
        stages = pack.derived(("rests on", outcome.name), lambda: _rests_on(outcome, pack))
        worst_key = (pack.digest, "at worst", outcome.name, conclusion.alike)
        at_worst = remembered(memory, worst_key, lambda: _acting(stages, conclusion.facts))
        evidence = pack.evidence_of(outcome.of)
        return _WhatIf(conclusion, outcome, level, pack, stages, at_worst, answers.implied, evidence, {}, {})

    def seen(self, known: Mapping[str, FactValue]) -> Hashable:
        """What would be answered of the outcome if more were known."""
        key = frozenset(known.items())
        if key not in self.before:
            self.before[key] = self._seen({**self.implied, **known})
        return self.before[key]

    def _seen(self, known: Mapping[str, FactValue]) -> Hashable:
        world = _World.of(self, known)
        for stage in self.stages:
            world.read_again(stage, self.evidence)
            for needed in stage.outcomes:
                outcome, moved = needed.outcome, world.moves(needed)
                if outcome is self.outcome:
                    return self._answered(world) if moved else self._unmoved()
                world.see(outcome, world.comes_to(outcome) if moved else self._still(outcome))
        raise AssertionError("an outcome rests on itself last")

    def _still(self, outcome: Outcome) -> tuple[FactValue, FactValue]:
        """What an earlier outcome comes to where nothing that bears on it changed."""
        if outcome.name not in self.still:
            self.still[outcome.name] = _World.of(self, {}).comes_to(outcome)
        return self.still[outcome.name]

    def _unmoved(self) -> Hashable:
        """What is answered of the outcome itself then."""
        if _UNMOVED not in self.before:
            self.before[_UNMOVED] = self._answered(_World.of(self, {}))
        return self.before[_UNMOVED]

    def _answered(self, world: "_World") -> Hashable:
        outcome = self.outcome
        if not outcome.levels:
            size = world.size(outcome)
            if isinstance(self.level, Between):
                return size.lowest > self.level.highest, size.highest > self.level.lowest
            return size.lowest, size.highest, size.provisional
        level = world.level(outcome)
        if isinstance(self.level, str) and self.level:
            index = outcome.levels.index(self.level)
            return level.worst_case >= index, level.certain >= index
        least, unsettled = min(level.lowest, level.worst_case), outcome.unsettled
        found = least if unsettled is not None and outcome.levels[least] in unsettled.at_least else None
        return level.worst_case, level.firm, None if level.firm else found


class _World(Struct):
    """A row of which more is known, while its stages run, with what changed; `certain` is `facts` until they differ.

    `at_worst`, `surely`, `at_least`: the rules that act, as in `Acts`; `turned`: those that do so no more, or only now.
    """

    pack: RulePack
    facts: dict[str, FactValue]
    certain: dict[str, FactValue]
    changed: set[str]
    at_worst: Set[str]
    surely: Set[str]
    at_least: Set[str]
    turned: set[str] = field(default_factory=set)

    @staticmethod
    def of(what_if: _WhatIf, known: Mapping[str, FactValue]) -> "_World":
        conclusion = what_if.conclusion
        facts = {**conclusion.facts, **known}
        certain = facts if conclusion.certain is conclusion.facts else {**conclusion.certain, **known}
        return _World(what_if.pack, facts, certain, set(known), what_if.at_worst, conclusion.acts.certain, conclusion.acts.lowest)

    def read_again(self, stage: _Stage, evidence: frozenset[str]) -> None:
        """Whether the rules of a stage act that name what changed."""
        named = [stage.naming[name] for name in self.changed if name in stage.naming]
        if not named:
            return
        facts, certain, known_so = self.facts, self.certain, self.certain is self.facts
        for one in named[0] if len(named) == 1 else set[RuleRead]().union(*named):
            rule_id, as_known = one.rule_id, one.when(facts)
            surely = as_known if known_so else one.when(certain)
            if evidence and one.relaxes and surely == 1:
                surely = without_evidence(one.rule.when, certain, evidence)
            least = one.surely_from
            if (as_known >= one.acts_from) != (rule_id in self.at_worst):
                self.at_worst ^= {rule_id}
                self.turned.add(rule_id)
            if (surely >= least) != (rule_id in self.surely):
                self.surely ^= {rule_id}
                self.turned.add(rule_id)
            if (as_known >= least) != (rule_id in self.at_least):
                self.at_least ^= {rule_id}
                self.turned.add(rule_id)

    def moves(self, needed: _Needed) -> bool:
        """Whether something changed that decides what an outcome comes to."""
        return not (needed.rules.isdisjoint(self.turned) and needed.reads.isdisjoint(self.changed))

    def level(self, outcome: Outcome) -> Level:
        """Where an outcome stands on its ladder."""
        pack = self.pack
        return Level(highest(outcome, pack, self.at_worst), highest(outcome, pack, self.surely), highest(outcome, pack, self.at_least))

    def size(self, outcome: Outcome) -> Size:
        """What a number can be."""
        return size_where(outcome, self.pack, self.at_worst, self.at_least, self.facts)

    def comes_to(self, outcome: Outcome) -> tuple[FactValue, FactValue]:
        """An earlier outcome as later stages see it: from its lowest, and from its certain level."""
        if not outcome.levels:
            size = self.size(outcome)
            known = Between(size.lowest, size.highest)
            return known, known
        level = self.level(outcome)
        return Between(level.lowest, level.worst_case), Between(min(level.certain, level.worst_case), level.worst_case)

    def see(self, outcome: Outcome, comes_to: tuple[FactValue, FactValue]) -> None:
        """Takes over what an earlier outcome comes to."""
        name, (known, certain) = outcome.name, comes_to
        if (known, certain) != (self.facts[name], self.certain[name]):
            if self.certain is self.facts and known != certain:
                self.certain = dict(self.facts)
            self.facts[name], self.certain[name] = known, certain
            self.changed.add(name)


def _rests_on(outcome: Outcome, pack: RulePack) -> Sequence[_Stage]:
    """The stages of the outcome and of the earlier ones that its rules test or read."""
    needed = [outcome]
    for earlier in needed:  # grows while it is walked
        for rule in _bearing(earlier, pack):
            needed += [pack.outcomes[name] for name in rule.names if name in pack.outcomes and pack.outcomes[name] not in needed]
    found = []
    for stage in pack.stages:
        if outcomes := [earlier for earlier in needed if earlier.stage == stage]:
            bearing = {earlier: _bearing(earlier, pack) for earlier in outcomes}
            rules = tuple(dict.fromkeys(one for some in bearing.values() for one in some))
            naming: dict[str, list[RuleRead]] = {}
            for one in rules:
                for name in one.names:
                    naming.setdefault(name, []).append(one)
            found.append(_Stage(rules, naming, [_Needed.of(earlier, some) for earlier, some in bearing.items()]))
    return found


def _bearing(outcome: Outcome, pack: RulePack) -> Sequence[RuleRead]:
    """The rules of an outcome, and those that relax or block them."""
    read = rules_read(pack, outcome.stage, outcome.of)
    rules = [one.rule for one in read.values() if one.rule.outcome == outcome.name]
    for rule in rules:  # grows while it is walked
        rules += [against for against in pack.against(rule) if against not in rules]
    return [read[rule.rule_id] for rule in rules]


def _acting(stages: Sequence[_Stage], facts: Facts) -> frozenset[str]:
    """Ids of the rules of the stages that act at worst."""
    return frozenset(one.rule.rule_id for stage in stages for one in stage.rules if one.when(facts) >= one.acts_from)

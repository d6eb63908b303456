"""From the rules that act to a level on a ladder, or a size: the most cautious acting level wins."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from bondwright.rulebook.condition import All, Any, Condition, Not, Test
from bondwright.rulebook.facts import Between, Facts, Truth
from bondwright.rulebook.meaning import test_truth, truth
from bondwright.rulebook.pack import Outcome, RulePack
from bondwright.rulebook.rule import Polarity, Rule
from bondwright.rulebook.sizing import compute

# As in `meaning`: taken from their class once.
_UNKNOWN, _TRUE, _FALSE = Truth.UNKNOWN, Truth.TRUE, Truth.FALSE
_RELAXES, _SIZES, _PROVIDES = Polarity.RELAXES, Polarity.SIZES, Polarity.PROVIDES


@dataclass(frozen=True, slots=True)
class Level:
    """Where an outcome stands on its ladder, as indexes.

    `worst_case`: the most cautious one that is not excluded. `settled`: the lowest that missing facts could still bring about,
    readings that nobody must make set aside. `lowest`: the lowest at all.
    """

    worst_case: int
    settled: int
    lowest: int

    @property
    def firm(self) -> bool:
        """Whether no missing fact could bring about a lower level."""
        return self.settled >= self.worst_case


@dataclass(frozen=True, slots=True)
class Size:
    """What a number can be, with a usable provisional value where a rule provides one."""

    lowest: float
    highest: float
    provisional: float | None


@dataclass(frozen=True, slots=True)
class Standing:
    """How far each rule's condition holds for one subject, by rule id.

    `known`: from what is known. `settled`: the same with earlier outcomes as settled and, for a relaxing rule, every
    undecided test of evidence that nobody must supply taken as not in its favour.
    """

    known: Mapping[str, Truth]
    settled: Mapping[str, Truth]

    def and_also(self, other: "Standing") -> "Standing":
        """This standing with that of `other`, which goes before it where both speak of a rule."""
        return Standing({**self.known, **other.known}, {**self.settled, **other.settled})


def standing(rules: Iterable[Rule], facts: Facts, settled: Facts, evidence: frozenset[str]) -> Standing:
    """The standing of `rules`; `settled` is the row with earlier outcomes as settled, `evidence` names optional facts."""
    chosen = tuple(rules)
    return Standing(
        {rule.rule_id: truth(rule.when, facts) for rule in chosen},
        {
            rule.rule_id: truth(_without(rule.when, settled, evidence, True) if rule.polarity is _RELAXES else rule.when, settled)
            for rule in chosen
        },
    )


def conclude_level(outcome: Outcome, pack: RulePack, acting: frozenset[str], stands: Standing) -> Level:
    """The level of one outcome for one subject; `acting`, the ids from the engine, alone decide `worst_case`."""
    raising = raising_rules(outcome, pack)
    return Level(
        worst_case(outcome, pack, acting),
        _highest(outcome, raising, pack, lambda rule: _surely(rule, stands.settled)),
        _highest(outcome, raising, pack, lambda rule: _surely(rule, stands.known)),
    )


def worst_case(outcome: Outcome, pack: RulePack, acting: frozenset[str]) -> int:
    """The most cautious level that is not excluded, where the rules called `acting` act; no truth of a condition bears on it."""
    return _highest(outcome, raising_rules(outcome, pack), pack, lambda rule: rule.rule_id in acting)


def _surely(rule: Rule, truths: Mapping[str, Truth]) -> bool:
    """Whether a rule acts in the least cautious of the worlds still possible."""
    return truths[rule.rule_id] >= (_UNKNOWN if rule.polarity is _RELAXES else _TRUE)


def raising_rules(outcome: Outcome, pack: RulePack) -> tuple[Rule, ...]:
    """The rules that raise an outcome, in file order."""
    return pack.raising(outcome)


def cancelled(rule: Rule, pack: RulePack, acts: Callable[[Rule], bool]) -> bool:
    """Whether a raising rule is cancelled: some relaxing rule acts on it and none blocks that one."""
    return any(acts(relaxing) and not any(acts(other) for other in pack.against(relaxing)) for relaxing in pack.against(rule))


def conclude_size(outcome: Outcome, pack: RulePack, acting: frozenset[str], facts: Facts, stands: Standing) -> Size:
    """The range of one size for one subject: every rule that may act counts towards the cautious end, only certain ones against it.

    Raises: Contradiction, if no rule of the pack may act.
    """
    rules = pack.rules_of(outcome.stage, outcome.of)
    sizing = [rule for rule in rules if rule.polarity is _SIZES and rule.outcome == outcome.name and rule.rule_id in acting]
    possible = [_computed(rule, facts, pack) for rule in sizing]
    certain = [_computed(rule, facts, pack) for rule in sizing if stands.known[rule.rule_id] is _TRUE]
    provided = [
        _computed(rule, facts, pack).highest
        for rule in rules
        if rule.polarity is _PROVIDES and rule.outcome == outcome.name and rule.rule_id in acting
    ]
    if not possible:
        raise pack.fault(f"has no rule that gives `{outcome.name}` here")
    if outcome.cautious == "larger":
        lowest = max(value.lowest for value in certain) if certain else min(value.lowest for value in possible)
        highest = max(value.highest for value in possible)
    else:
        lowest = min(value.lowest for value in possible)
        highest = min(value.highest for value in certain) if certain else max(value.highest for value in possible)
    return Size(lowest, highest, max(provided) if provided and lowest != highest else None)


def _computed(rule: Rule, facts: Facts, pack: RulePack) -> Between:
    assert rule.form is not None, "the shelf gives every sizing rule a form"
    return compute(rule.form, facts, pack.tables)


def _highest(outcome: Outcome, raising: Iterable[Rule], pack: RulePack, acts: Callable[[Rule], bool]) -> int:
    highest = 0
    for rule in raising:
        level = outcome.levels.index(rule.level)
        if level > highest and acts(rule) and not cancelled(rule, pack, acts):
            highest = level
    return highest


def _without(condition: Condition, facts: Facts, evidence: frozenset[str], holds: bool) -> Condition:
    """`condition` with each undecided test of evidence taken as not in favour of it, where nothing but evidence could decide it so."""
    match condition:
        case Test():
            undecided = condition.fact in evidence and not _open(condition, facts, evidence, holds)
            against_it: Condition = Any(()) if holds else All(())
            return against_it if undecided else condition
        case Not(member):
            return Not(_without(member, facts, evidence, not holds))
        case All(members):
            return All(tuple(_without(member, facts, evidence, holds) for member in members))
        case Any(members):
            return Any(tuple(_without(member, facts, evidence, holds) for member in members))


def _open(test: Test, facts: Facts, evidence: frozenset[str], holds: bool) -> bool:
    """Whether a test is decided, or what it compares with, if that is no evidence, could still decide it as `holds` would have it."""
    if test_truth(test, facts) is not _UNKNOWN:
        return True
    if not isinstance(test.operand, str) or test.operand in evidence:
        return False
    limit, wanted = facts[test.operand], _TRUE if holds else _FALSE
    assert isinstance(limit, Between)
    ends = (Between(end, end) for end in (limit.lowest, limit.highest))
    return any(test_truth(test, {**facts, test.operand: end}) is wanted for end in ends)

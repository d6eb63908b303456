"""What a condition means, read straight from the facts in strong Kleene logic.

This is the second channel: `engine` compiles the same trees its own way, and the two must agree
before a verdict is given. Nothing here may be used by `engine`, nor the other way round.
"""

from collections.abc import Sequence

from msgspec import Struct

from bondwright.rulebook.condition import All, Any, Condition, Not, Test
from bondwright.rulebook.facts import UNKNOWN, Between, Facts, Truth
from bondwright.rulebook.rule import Polarity, Rule

# Taken from their class once: until Python 3.12 that takes four times as long as the comparison that follows (2026-11-29).
_FALSE, _UNDECIDED, _TRUE = Truth.FALSE, Truth.UNKNOWN, Truth.TRUE
_OPPOSITE = {_FALSE: _TRUE, _UNDECIDED: _UNDECIDED, _TRUE: _FALSE}
_ONLY_IF_CERTAIN = (Polarity.RELAXES, Polarity.PROVIDES, Polarity.REMARKS)


class Acts(Struct, frozen=True):
    """Ids of the rules that act on one row.

    `worst_case`: in the most cautious world that is not excluded (a relaxing or certain-only rule when certainly true, any other
    unless certainly false). `lowest`: in the least cautious world still possible (a relaxing rule unless certainly false, any other
    when certainly true). `certain`: the same, with earlier outcomes as far as they are certain, and evidence that nobody must
    supply set aside.
    """

    worst_case: frozenset[str]
    certain: frozenset[str]
    lowest: frozenset[str]


def acts(rules: Sequence[Rule], known: Facts, certain: Facts, evidence: frozenset[str]) -> Acts:
    """Which of `rules` act on one row.

    `known`: the row with every earlier outcome from its lowest to its worst case; `certain`: the same keys with earlier outcomes
    as far as they are certain. `evidence`: names of the facts that nobody must supply.
    """
    worst_case, surely, lowest = [], [], []
    for rule in rules:
        value = truth(rule.when, certain)
        as_known = value if known is certain else truth(rule.when, known)
        if value is _FALSE and as_known is _FALSE:
            continue  # then no rule acts in any way, whatever its polarity
        if value >= threshold(rule.polarity):
            worst_case.append(rule.rule_id)
        if evidence and value is _UNDECIDED and rule.polarity is Polarity.RELAXES:
            value = without_evidence(rule.when, certain, evidence)
        if _least_cautious(rule, value):
            surely.append(rule.rule_id)
        if _least_cautious(rule, as_known):
            lowest.append(rule.rule_id)
    return Acts(frozenset(worst_case), frozenset(surely), frozenset(lowest))


def truth(condition: Condition, facts: Facts) -> Truth:
    """Whether `condition` certainly holds, certainly does not, or is undecided by `facts`.

    It asks for types one by one: matching them took two and a half times as long (2026-11-30).
    """
    if isinstance(condition, Test):
        return test_truth(condition, facts)
    if isinstance(condition, All):
        least = _TRUE
        for member in condition.members:
            value = test_truth(member, facts) if isinstance(member, Test) else truth(member, facts)
            if value is _FALSE:
                return value
            if value is _UNDECIDED:
                least = value
        return least
    if isinstance(condition, Any):
        most = _FALSE
        for member in condition.members:
            value = test_truth(member, facts) if isinstance(member, Test) else truth(member, facts)
            if value is _TRUE:
                return value
            if value is _UNDECIDED:
                most = value
        return most
    return _OPPOSITE[truth(condition.member, facts)]


def test_truth(test: Test, facts: Facts) -> Truth:
    """Truth of one test; an unknown fact equals nothing, itself included."""
    value = facts[test.fact]
    if isinstance(value, str):
        assert isinstance(test.operand, tuple)
        if value == UNKNOWN:
            return _UNDECIDED
        return _TRUE if value in test.operand else _FALSE
    other = _operand(test, facts)
    match test.operator:
        case "at_least":
            return _decided(value.lowest >= other.highest, value.highest < other.lowest)
        case "above":
            return _decided(value.lowest > other.highest, value.highest <= other.lowest)
        case "at_most":
            return _decided(value.highest <= other.lowest, value.lowest > other.highest)
        case "below":
            return _decided(value.highest < other.lowest, value.lowest >= other.highest)
        case "is":
            raise AssertionError("the shelf lets no number be tested with `is`")


def acting(rules: Sequence[Rule], facts: Facts) -> frozenset[str]:
    """Ids of the rules that act: a relaxing or certain-only rule when certainly true, any other unless certainly false."""
    return frozenset(rule.rule_id for rule in rules if truth(rule.when, facts) >= threshold(rule.polarity))


def threshold(polarity: Polarity) -> Truth:
    """The least truth at which a rule of this polarity acts."""
    return _TRUE if polarity in _ONLY_IF_CERTAIN else _UNDECIDED


def without_evidence(condition: Condition, facts: Facts, evidence: frozenset[str]) -> Truth:
    """The truth of the undecided condition of a relaxing rule once evidence is set aside, which can only turn it into false."""
    return truth(_set_aside(condition, facts, evidence, True), facts)


def _least_cautious(rule: Rule, value: Truth) -> bool:
    return value is not _FALSE if rule.polarity is Polarity.RELAXES else value is _TRUE


def _set_aside(condition: Condition, facts: Facts, evidence: frozenset[str], holds: bool) -> Condition:
    """`condition` with each undecided test of evidence taken as not in favour of it, where nothing but evidence could decide it so."""
    match condition:
        case Test():
            undecided = condition.fact in evidence and not _open(condition, facts, evidence, holds)
            against_it: Condition = Any(()) if holds else All(())
            return against_it if undecided else condition
        case Not(member):
            return Not(_set_aside(member, facts, evidence, not holds))
        case All(members):
            return All(tuple(_set_aside(member, facts, evidence, holds) for member in members))
        case Any(members):
            return Any(tuple(_set_aside(member, facts, evidence, holds) for member in members))


def _open(test: Test, facts: Facts, evidence: frozenset[str], holds: bool) -> bool:
    """Whether a test is decided, or what it compares with, if that is no evidence, could still decide it as `holds` would have it."""
    if test_truth(test, facts) is not _UNDECIDED:
        return True
    if not isinstance(test.operand, str) or test.operand in evidence:
        return False
    limit, wanted = facts[test.operand], _TRUE if holds else _FALSE
    assert isinstance(limit, Between)
    ends = (Between(end, end) for end in (limit.lowest, limit.highest))
    return any(test_truth(test, {**facts, test.operand: end}) is wanted for end in ends)


def _operand(test: Test, facts: Facts) -> Between:
    if isinstance(test.operand, str):
        other = facts[test.operand]
        assert isinstance(other, Between)
        return other
    assert not isinstance(test.operand, tuple)
    return Between(test.operand, test.operand)


def _decided(surely: bool, surely_not: bool) -> Truth:
    if surely:
        return _TRUE
    return _FALSE if surely_not else _UNDECIDED

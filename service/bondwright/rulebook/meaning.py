"""What a condition means, read straight from the facts in strong Kleene logic.

This is the second channel: `engine` compiles the same trees its own way, and the two must agree
before a verdict is given. Nothing here may be used by `engine`, nor the other way round.
"""

from collections.abc import Sequence

from bondwright.rulebook.condition import All, Any, Condition, Not, Test
from bondwright.rulebook.facts import UNKNOWN, Between, Facts, Truth
from bondwright.rulebook.rule import Polarity, Rule

# Taken from their class once: until Python 3.12 that takes four times as long as the comparison that follows (2026-11-29).
_FALSE, _UNDECIDED, _TRUE = Truth.FALSE, Truth.UNKNOWN, Truth.TRUE
_OPPOSITE = {_FALSE: _TRUE, _UNDECIDED: _UNDECIDED, _TRUE: _FALSE}
_ONLY_IF_CERTAIN = (Polarity.RELAXES, Polarity.PROVIDES, Polarity.REMARKS)


def truth(condition: Condition, facts: Facts) -> Truth:
    """Whether `condition` certainly holds, certainly does not, or is undecided by `facts`."""
    match condition:
        case Test():
            return test_truth(condition, facts)
        case Not(member):
            return _OPPOSITE[truth(member, facts)]
        case All(members):
            least = _TRUE
            for member in members:
                value = truth(member, facts)
                if value is _FALSE:
                    return value
                if value is _UNDECIDED:
                    least = value
            return least
        case Any(members):
            most = _FALSE
            for member in members:
                value = truth(member, facts)
                if value is _TRUE:
                    return value
                if value is _UNDECIDED:
                    most = value
            return most


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

"""What a condition means, read straight from the facts in strong Kleene logic.

This is the second channel: `engine` compiles the same trees its own way, and the two must agree
before a verdict is given. Nothing here may be used by `engine`, nor the other way round.
"""

from collections.abc import Sequence

from bondwright.rulebook.condition import All, Any, Condition, Not, Test
from bondwright.rulebook.facts import UNKNOWN, Between, Facts, Truth
from bondwright.rulebook.rule import Polarity, Rule

_OPPOSITE = {Truth.FALSE: Truth.TRUE, Truth.UNKNOWN: Truth.UNKNOWN, Truth.TRUE: Truth.FALSE}


def truth(condition: Condition, facts: Facts) -> Truth:
    """Whether `condition` certainly holds, certainly does not, or is undecided by `facts`."""
    match condition:
        case Test():
            return test_truth(condition, facts)
        case Not(member):
            return _OPPOSITE[truth(member, facts)]
        case All(members):
            least = Truth.TRUE
            for member in members:
                value = truth(member, facts)
                if value is Truth.FALSE:
                    return value
                if value is Truth.UNKNOWN:
                    least = value
            return least
        case Any(members):
            most = Truth.FALSE
            for member in members:
                value = truth(member, facts)
                if value is Truth.TRUE:
                    return value
                if value is Truth.UNKNOWN:
                    most = value
            return most


def test_truth(test: Test, facts: Facts) -> Truth:
    """Truth of one test; an unknown fact equals nothing, itself included."""
    value = facts[test.fact]
    if isinstance(value, str):
        assert isinstance(test.operand, tuple)
        if value == UNKNOWN:
            return Truth.UNKNOWN
        return Truth.TRUE if value in test.operand else Truth.FALSE
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
    return Truth.TRUE if polarity in (Polarity.RELAXES, Polarity.PROVIDES, Polarity.REMARKS) else Truth.UNKNOWN


def _operand(test: Test, facts: Facts) -> Between:
    if isinstance(test.operand, str):
        other = facts[test.operand]
        assert isinstance(other, Between)
        return other
    assert not isinstance(test.operand, tuple)
    return Between(test.operand, test.operand)


def _decided(surely: bool, surely_not: bool) -> Truth:
    if surely:
        return Truth.TRUE
    return Truth.FALSE if surely_not else Truth.UNKNOWN

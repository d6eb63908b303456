"""Conditions as functions of a row, made once: for what is asked of row after row.

They say what `meaning.truth` says, which reads the tree itself; both channels go on in their own ways.
"""

from collections.abc import Callable, Mapping
from typing import TypeAlias

from msgspec import Struct

from bondwright.rulebook.condition import All, Any, Condition, Not, Test, tests_in
from bondwright.rulebook.facts import UNKNOWN, Facts, FactValue
from bondwright.rulebook.meaning import threshold
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Polarity, Rule
from bondwright.rulebook.sizing import Computes, ends_of

Reads: TypeAlias = Callable[[Facts], int]
"""Gives 0 for certainly false, 1 for undecided, 2 for certainly true."""


class RuleRead(Struct, frozen=True, eq=False):
    """A rule with its condition as a function.

    `acts_from`: the truth from which it acts at worst; `surely_from`: at least. `reads`: what its number is worked out from; `names`: that,
    and what it tests.
    """

    rule: Rule
    rule_id: str
    when: Reads
    acts_from: int
    surely_from: int
    relaxes: bool
    reads: frozenset[str]
    names: frozenset[str]

    @staticmethod
    def of(rule: Rule, pack: RulePack) -> "RuleRead":
        """The same, made."""
        tested = {name for test in tests_in(rule.when) for name in (test.fact, test.operand) if isinstance(name, str)}
        relaxes = rule.polarity is Polarity.RELAXES
        acts_from, surely_from, reads = threshold(rule.polarity), 1 if relaxes else 2, frozenset(pack.reads(rule))
        return RuleRead(rule, rule.rule_id, reading(rule.when), acts_from, surely_from, relaxes, reads, reads | tested)


def rules_read(pack: RulePack, stage: str, of: str) -> Mapping[str, RuleRead]:
    """The rules of one stage about one kind of subject by id, in file order, made once."""
    return pack.derived(("read", stage, of), lambda: {rule.rule_id: RuleRead.of(rule, pack) for rule in pack.rules_of(stage, of)})


def reading(condition: Condition) -> Reads:
    """The truth of a condition on a row, as a function."""
    match condition:
        case Test():
            return _test(condition)
        case Not(member):
            inner = reading(member)
            return lambda facts: 2 - inner(facts)
        case All(members):
            return _all([reading(member) for member in members])
        case Any(members):
            return _any([reading(member) for member in members])


def _all(members: list[Reads]) -> Reads:
    if len(members) == 1:
        return members[0]

    def read(facts: Facts) -> int:
        least = 2
        for member in members:
            value = member(facts)
            if not value:
                return 0
            if value < least:
                least = value
        return least

    return read


def _any(members: list[Reads]) -> Reads:
    if len(members) == 1:
        return members[0]

    def read(facts: Facts) -> int:
        most = 0
        for member in members:
            value = member(facts)
            if value == 2:
                return 2
            if value > most:
                most = value
        return most

    return read


def _test(test: Test) -> Reads:
    if isinstance(test.operand, tuple):
        return _choice(test.fact, test.operand)
    return _between_facts(test, test.operand) if isinstance(test.operand, str) else _limit(test, test.operand)


def _choice(fact: str, operand: tuple[str, ...]) -> Reads:
    truths: dict[FactValue, int] = dict.fromkeys(operand, 2)
    truths[UNKNOWN] = 1
    return lambda facts: truths.get(facts[fact], 0)


def _limit(test: Test, limit: float) -> Reads:
    return _compared(test.operator, ends_of(test.fact), lambda _: (limit, limit))


def _between_facts(test: Test, other: str) -> Reads:
    return _compared(test.operator, ends_of(test.fact), ends_of(other))


def _compared(operator: str, ours: Computes, theirs: Computes) -> Reads:
    def read(facts: Facts) -> int:
        (lowest, highest), (least, most) = ours(facts), theirs(facts)
        match operator:
            case "at_least":
                return 2 if lowest >= most else 0 if highest < least else 1
            case "above":
                return 2 if lowest > most else 0 if highest <= least else 1
            case "at_most":
                return 2 if highest <= least else 0 if lowest > most else 1
            case "below":
                return 2 if highest < least else 0 if lowest >= most else 1
        raise AssertionError("the shelf lets no number be tested with `is`")

    return read

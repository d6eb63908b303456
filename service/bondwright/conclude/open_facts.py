"""The open facts whose answers could still move an outcome, and the evidence that could relax it."""

from collections.abc import Iterator

from msgspec import Struct

from bondwright.conclude.conclusion import Conclusion
from bondwright.conclude.functions import Reads, reading
from bondwright.conclude.what_if import Answers, moving
from bondwright.rulebook.condition import Test, tests_in
from bondwright.rulebook.facts import UNKNOWN, Between, FactValue, Truth
from bondwright.rulebook.meaning import test_truth
from bondwright.rulebook.memory import Memory, remembered
from bondwright.rulebook.pack import Outcome, RulePack
from bondwright.rulebook.rule import Polarity, Rule


def open_facts(
    conclusion: Conclusion,
    outcome: Outcome,
    level: str | Between,
    told: tuple[str, ...],
    answers: Answers,
    pack: RulePack,
    memory: Memory,
) -> tuple[tuple[str, ...], bool]:
    """The open facts that could move the outcome, and whether they only do so together.

    `told`: the facts about which something in the description is open; others are left out. `level`: then only what could move
    whether it comes to that level, or of a size, whether it is more than that.
    """
    key = (pack.digest, "open", outcome.name, level, conclusion.alike, told, answers.key)

    def found() -> tuple[tuple[str, ...], bool]:
        """Remembered as well by those of the facts told of that are undecided."""
        undecided_key = (pack.digest, "undecided", outcome.name, conclusion.alike)
        undecided = remembered(memory, undecided_key, lambda: _undecided(conclusion, outcome, pack, memory))
        can_be_told = tuple(fact for fact in undecided if fact in told)
        moving_key = (pack.digest, "moving", outcome.name, level, conclusion.alike, can_be_told, answers.key)
        return remembered(memory, moving_key, lambda: moving(conclusion, can_be_told, answers, outcome, level, pack, memory))

    return remembered(memory, key, found)


def open_evidence(conclusion: Conclusion, outcome: Outcome, pack: RulePack) -> tuple[str, ...]:
    """The facts of optional evidence that could relax this outcome, once each, in file order."""
    tests = _evidence_tests(outcome, pack)
    return tuple(dict.fromkeys(test.fact for test in tests if test_truth(test, conclusion.facts) is Truth.UNKNOWN))


def _evidence_tests(outcome: Outcome, pack: RulePack) -> tuple[Test, ...]:
    """Every test of evidence that bears on an outcome, itself or through an earlier one, once each, in file order."""

    def found() -> Iterator[Test]:
        for rule in _bearing(outcome, pack):
            for test, _, _ in rule.tests:
                if test.fact in pack.outcomes:
                    yield from _evidence_tests(pack.outcomes[test.fact], pack)
                elif pack.facts[test.fact].evidence:
                    yield test

    return pack.derived(("evidence tests", outcome.name), lambda: tuple(dict.fromkeys(found())))


class _Bearing(Struct, frozen=True):
    """A rule that bears on an outcome: its condition, and each of its tests with the facts in it that are no evidence."""

    rule: Rule
    when: Reads
    tests: tuple[tuple[Test, Reads, tuple[str, ...]], ...]

    @staticmethod
    def of(rule: Rule, pack: RulePack) -> "_Bearing":
        return _Bearing(rule, reading(rule.when), tuple((test, reading(test), _no_evidence(test, pack)) for test in tests_in(rule.when)))


def _no_evidence(test: Test, pack: RulePack) -> tuple[str, ...]:
    return tuple(fact for fact in (test.fact, test.operand) if isinstance(fact, str) and not _is_evidence(fact, pack))


def _bearing(outcome: Outcome, pack: RulePack) -> tuple[_Bearing, ...]:
    """The rules that bear on an outcome: those that raise or size it, and those that relax or block them."""

    def bearing() -> tuple[_Bearing, ...]:
        rules = pack.rules_of(outcome.stage, outcome.of)
        found = [rule for rule in rules if rule.outcome == outcome.name and rule.polarity in (Polarity.RAISES, Polarity.SIZES)]
        for rule in found:  # grows while it is walked: relaxing rules, then what blocks those
            found += [against for against in pack.against(rule) if against not in found]
        return tuple(_Bearing.of(rule, pack) for rule in found)

    return pack.derived(("bearing", outcome.name), bearing)


def _undecided(conclusion: Conclusion, outcome: Outcome, pack: RulePack, memory: Memory) -> tuple[str, ...]:
    """The open facts in undecided tests of the rules that bear on an outcome, and behind the earlier outcomes in such tests."""
    rules, certain = _bearing(outcome, pack), conclusion.certain
    tested = dict.fromkeys(
        fact
        for rule in rules
        if rule.when(certain) == Truth.UNKNOWN
        for _, is_true, facts in rule.tests
        if is_true(certain) == Truth.UNKNOWN
        for fact in facts
        if _open(conclusion.facts[fact])
    )
    read = (
        fact
        for one in rules
        if one.rule.rule_id in conclusion.acts.worst_case
        for fact in pack.reads(one.rule)
        if _open(conclusion.facts[fact])
    )
    found: dict[str, None] = {}
    for fact in tested if outcome.levels else tested | dict.fromkeys(read):
        found |= dict.fromkeys(_undecided(conclusion, pack.outcomes[fact], pack, memory)) if fact in pack.outcomes else {fact: None}
    return tuple(found)


def _is_evidence(fact: str, pack: RulePack) -> bool:
    return fact in pack.facts and pack.facts[fact].evidence


def _open(value: FactValue) -> bool:
    return value == UNKNOWN if isinstance(value, str) else not value.known

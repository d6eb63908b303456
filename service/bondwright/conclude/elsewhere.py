"""What a pack says of other kinds of location than the one at hand: rules that never act there, and facts that only they name."""

from collections.abc import Iterator
from math import inf

from bondwright.rulebook.condition import All, Test, tests_in
from bondwright.rulebook.declared.places import KIND, ROOM, Named
from bondwright.rulebook.facts import Between, Facts, FactValue, Truth
from bondwright.rulebook.meaning import test_truth, truth
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Polarity, Rule

_KIND = Named(KIND)


def about_another_place(rule: Rule, facts: Facts, pack: RulePack) -> bool:
    """Whether a rule asks for a kind of location that the one concluded of is not: it waits for nothing here."""
    kind = pack.places.fact(_KIND)
    together = rule.when.members if isinstance(rule.when, All) else (rule.when,)
    tests = (one for one in together if isinstance(one, Test) and one.fact == kind)
    return any(test_truth(one, facts) is Truth.FALSE for one in tests)


def facts_that_count(kind: str, pack: RulePack) -> frozenset[str]:
    """Names of the facts that may decide or be told of a location of that kind, whatever else is known of it.

    Left out is what only rules name that its kind alone makes false: no answer about it moves anything there. Raises: Contradiction, if the
    pack does not judge such a location.
    """
    facts: dict[str, FactValue] = {**pack.unknown_of(ROOM)}
    for name, outcome in pack.outcomes.items():
        facts[name] = Between(0, len(outcome.levels) - 1 if outcome.levels else inf)
    fact = pack.places.fact(_KIND)
    if fact in facts:
        facts[fact] = pack.kind("location", kind).word("called", kind)
    counting = [rule for rule in pack.rules if rule.of == ROOM and _speaks(rule, facts, pack)]
    return frozenset((fact, *_named(counting, pack), *_shown(kind, pack)))


def _speaks(rule: Rule, facts: Facts, pack: RulePack) -> bool:
    """Whether a rule may act, or is told of as one that waits."""
    if rule.polarity is Polarity.RELAXES and not about_another_place(rule, facts, pack):
        return True
    return truth(rule.when, facts) is not Truth.FALSE


def _named(rules: list[Rule], pack: RulePack) -> Iterator[str]:
    for rule in rules:
        yield from (test.fact for test in tests_in(rule.when))
        yield from (test.operand for test in tests_in(rule.when) if isinstance(test.operand, str))
        yield from pack.reads(rule)


def _shown(kind: str, pack: RulePack) -> Iterator[str]:
    """Facts by which the duties of such a location are shown."""
    for duty in pack.place(kind).duties:
        yield from (duty.where, duty.present, *duty.freed_by)

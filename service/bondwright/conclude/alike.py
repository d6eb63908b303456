"""Which rows the rules of a pack cannot tell apart, whatever else were known of them: what is concluded of one holds of all alike."""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Hashable, Iterable
from operator import itemgetter
from typing import TypeAlias

from bondwright.rulebook.condition import Test, tests_in
from bondwright.rulebook.facts import Between, Facts
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.sizing import Computes, alone_in, computing

Alike: TypeAlias = Callable[[Facts], Hashable]
"""Gives the same for two rows exactly if they are alike."""

_Reads: TypeAlias = Callable[[Facts], Hashable]


def alike(pack: RulePack, of: str) -> Alike:
    """What tells rows about a kind of subject apart.

    A choice counts as it is. Of a number it matters only how both ends of it lie among the numbers that it is compared with, and whether
    they are one: no test sees more, nor does it see more once the number has come down to one of its ends. Numbers that are compared with
    each other count together. Of a number that sizes are worked out from it matters as well what the widest forms that read it alone make
    of it, and of each of its ends: a table gives one entry to all numbers between two of its limits. What no rule names does not count.
    """
    rules = [rule for rule in pack.rules if rule.of == of]
    tests = [test for rule in rules for test in tests_in(rule.when)]
    forms = dict.fromkeys(alone for rule in rules if rule.form is not None for alone in alone_in(rule.form, pack.tables))
    counts = {test.fact for test in tests} | {fact for fact, _ in forms}
    readers: list[_Reads] = []
    for fact, form in forms:
        if fact not in pack.outcomes:
            counts.discard(fact)
            readers.append(_made_of(fact, computing(form, pack.tables)))
    for group, limits in _compared(tests):
        if group & pack.outcomes.keys():
            counts |= group
        else:
            counts -= group
            names = tuple(sorted(group))
            readers.append(_among(names[0], limits) if len(names) == 1 else _ranked(names, limits))
    as_is = [fact.name for fact in pack.facts_of(of) if fact.name in counts]
    if not as_is:
        return lambda facts: tuple([read(facts) for read in readers])
    values = itemgetter(*as_is)
    return lambda facts: (values(facts), *[read(facts) for read in readers])


def _compared(tests: Iterable[Test]) -> list[tuple[frozenset[str], tuple[float, ...]]]:
    """The facts that are compared as numbers, those that are compared with each other together, with all limits of theirs, rising."""
    together: dict[str, set[str]] = {}
    limits: dict[str, set[float]] = {}
    for test in tests:
        if isinstance(test.operand, tuple):
            continue
        group = together.setdefault(test.fact, {test.fact})
        if isinstance(test.operand, str):
            group |= together.get(test.operand, {test.operand})
            together |= dict.fromkeys(group, group)
        else:
            limits.setdefault(test.fact, set()).add(test.operand)
    groups = dict.fromkeys(map(frozenset, together.values()))
    return [(group, tuple(sorted(set[float]().union(*(limits.get(fact, ()) for fact in group))))) for group in groups]


def _made_of(fact: str, computes: Computes) -> _Reads:
    """What a form makes of a number, and of each of its ends; it reads nothing else."""

    def read(facts: Facts) -> Hashable:
        value = facts[fact]
        assert isinstance(value, Between)
        found = computes(facts)
        if value.known:
            return found
        return found, *(computes({fact: Between(end, end)}) for end in (value.lowest, value.highest))

    return read


def _among(fact: str, limits: tuple[float, ...]) -> _Reads:
    """How a number lies among limits: how many are below each end, how many not above it, and whether the ends are one."""

    def read(facts: Facts) -> Hashable:
        value = facts[fact]
        assert isinstance(value, Between)
        low, high = value.lowest, value.highest
        below = bisect_left(limits, low) + bisect_right(limits, low)
        return (below, below, True) if low == high else (below, bisect_left(limits, high) + bisect_right(limits, high), False)

    return read


def _ranked(names: tuple[str, ...], limits: tuple[float, ...]) -> _Reads:
    """How numbers lie among each other and among limits: the rank of each end and each limit."""

    def read(facts: Facts) -> Hashable:
        ends = [*limits]
        for name in names:
            value = facts[name]
            assert isinstance(value, Between)
            ends += (value.lowest, value.highest)
        ranks = {end: rank for rank, end in enumerate(sorted(set(ends)))}
        return tuple([ranks[end] for end in ends])

    return read

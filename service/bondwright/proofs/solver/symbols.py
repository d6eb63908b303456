"""One subject's facts as the solver sees them, and what a condition means over them.

A yes/no or a choice is a value with a flag that says whether it is known; a number is what it lies between; a ladder is,
for each step, whether it is certainly and whether it is possibly reached. The meaning is that of `rulebook.meaning`.
"""

from collections.abc import Iterable, Mapping
from fractions import Fraction
from functools import lru_cache
from typing import TypeAlias

import z3
from msgspec import Struct

from bondwright.proofs.solver.logic import all_of, one_of
from bondwright.rulebook.condition import All, Any, Condition, Not, Test
from bondwright.rulebook.facts import NO, YES, FactDefinition
from bondwright.rulebook.pack import RulePack


class Told(Struct, frozen=True):
    """A yes/no or a choice: `value` is an index into `choices`, which is known where `known` holds."""

    value: z3.ArithRef
    known: z3.BoolRef
    choices: tuple[str, ...]


class Range(Struct, frozen=True):
    """A number known to lie from `lowest` to `highest`."""

    lowest: z3.ArithRef
    highest: z3.ArithRef


class Ladder(Struct, frozen=True):
    """An earlier level: by index, whether at least that level is `certain`, and whether it is `possible`."""

    certain: tuple[z3.BoolRef, ...]
    possible: tuple[z3.BoolRef, ...]


Row: TypeAlias = Mapping[str, Told | Range | Ladder]
"""The facts and earlier outcomes of one subject."""


class Knowledge(Struct, frozen=True):
    """What is known of one subject: its `row`, and the `bounds` within which every row lies."""

    row: Row
    bounds: tuple[z3.BoolRef, ...]


class Pair(Struct, frozen=True):
    """Where a condition certainly holds and where it certainly does not."""

    surely: z3.BoolRef
    surely_not: z3.BoolRef


def exact(number: float) -> z3.ArithRef:
    """A number as it is written in a rule file, as a fraction."""
    return z3.RealVal(_fraction(float(number)))


@lru_cache(maxsize=4096)
def _fraction(number: float) -> str:
    return str(Fraction(repr(number)))


def knowledge(pack: RulePack, of: str, who: str) -> Knowledge:
    """What somebody called `who` knows of a subject: values are shared by all who know, how much is known is not."""
    row: dict[str, Told | Range] = {}
    bounds: list[z3.BoolRef] = []
    for fact in pack.facts_of(of):
        if fact.kind == "number":
            number = Range(z3.Real(f"{fact.name}.lowest.{who}"), z3.Real(f"{fact.name}.highest.{who}"))
            bounds += [exact(fact.lowest) <= number.lowest, number.lowest <= number.highest, number.highest <= exact(fact.highest)]
            row[fact.name] = number
        else:
            choices = choices_of(fact)
            told = Told(z3.Int(fact.name), z3.Bool(f"{fact.name}.known.{who}"), choices)
            bounds += [told.value >= 0, told.value < len(choices)]
            row[fact.name] = told
    return Knowledge(row, (all_of(bounds),))  # one formula, for each is taken over by itself


def choices_of(fact: FactDefinition) -> tuple[str, ...]:
    """The values that a yes/no or a choice can have."""
    return (YES, NO) if fact.kind == "yes_no" else fact.choices


def whole(known: Knowledge) -> tuple[z3.BoolRef, ...]:
    """That everything is known."""
    return (all_of([symbol.known if isinstance(symbol, Told) else symbol.lowest == symbol.highest for symbol in _own(known)]),)


def no_less(fuller: Knowledge, lesser: Knowledge) -> tuple[z3.BoolRef, ...]:
    """That `fuller` knows whatever `lesser` knows."""
    found: list[z3.BoolRef] = []
    for more, less in zip(_own(fuller), _own(lesser), strict=True):
        if isinstance(more, Told) and isinstance(less, Told):
            found.append(z3.Implies(less.known, more.known))
        elif isinstance(more, Range) and isinstance(less, Range):
            found += [less.lowest <= more.lowest, more.highest <= less.highest]
    return tuple(found)


def alike(one: Knowledge, other: Knowledge, names: Iterable[str]) -> tuple[z3.BoolRef, ...]:
    """That both know the same of the facts called `names`."""
    found: list[z3.BoolRef] = []
    for name in names:
        a, b = one.row[name], other.row[name]
        if isinstance(a, Told) and isinstance(b, Told):
            found.append(a.known == b.known)
        elif isinstance(a, Range) and isinstance(b, Range):
            found += [a.lowest == b.lowest, a.highest == b.highest]
    return tuple(found)


def _own(known: Knowledge) -> list[Told | Range]:
    return [symbol for symbol in known.row.values() if not isinstance(symbol, Ladder)]


def pair(condition: Condition, row: Row, aside: frozenset[str] = frozenset(), favourable: bool = True) -> Pair:
    """Where `condition` holds and where not; an undecided test of a fact in `aside` counts as not in its favour."""
    match condition:
        case Test():
            found = _tested(condition, row)
            return _set_aside(condition, found, row, aside, favourable) if condition.fact in aside else found
        case Not(member):
            inner = pair(member, row, aside, not favourable)
            return Pair(inner.surely_not, inner.surely)
        case All(members):
            parts = [pair(member, row, aside, favourable) for member in members]
            return Pair(all_of([part.surely for part in parts]), one_of([part.surely_not for part in parts]))
        case Any(members):
            parts = [pair(member, row, aside, favourable) for member in members]
            return Pair(one_of([part.surely for part in parts]), all_of([part.surely_not for part in parts]))


def _set_aside(test: Test, found: Pair, row: Row, aside: frozenset[str], favourable: bool) -> Pair:
    """An undecided test of evidence counts against its condition, unless what it compares with could still decide it in favour."""
    at_ends: list[Pair] = []
    if isinstance(test.operand, str) and test.operand not in aside:
        other = _operand(test, row)
        at_ends = [_tested(test, {**row, test.operand: Range(end, end)}) for end in (other.lowest, other.highest)]
    if favourable:
        return Pair(found.surely, z3.Not(one_of([found.surely, *(at.surely for at in at_ends)])))
    return Pair(z3.Not(one_of([found.surely_not, *(at.surely_not for at in at_ends)])), found.surely_not)


def _tested(test: Test, row: Row) -> Pair:
    symbol = row[test.fact]
    if isinstance(symbol, Told):
        assert isinstance(test.operand, tuple)
        holds = one_of([symbol.value == _index(symbol.choices.index(choice)) for choice in test.operand])
        return Pair(all_of([symbol.known, holds]), all_of([symbol.known, z3.Not(holds)]))
    if isinstance(symbol, Ladder):
        assert isinstance(test.operand, float) and test.operator == "at_least", "the shelf writes a step of a ladder so"
        step = int(test.operand)
        return Pair(symbol.certain[step], z3.Not(symbol.possible[step]))
    other = _operand(test, row)
    match test.operator:
        case "at_least":
            return Pair(symbol.lowest >= other.highest, symbol.highest < other.lowest)
        case "above":
            return Pair(symbol.lowest > other.highest, symbol.highest <= other.lowest)
        case "at_most":
            return Pair(symbol.highest <= other.lowest, symbol.lowest > other.highest)
        case "below":
            return Pair(symbol.highest < other.lowest, symbol.lowest >= other.highest)
        case "is":
            raise AssertionError("the shelf lets no number be tested with `is`")


@lru_cache(maxsize=256)
def _index(number: int) -> z3.ArithRef:
    return z3.IntVal(number)


def _operand(test: Test, row: Row) -> Range:
    if isinstance(test.operand, str):
        other = row[test.operand]
        assert isinstance(other, Range)
        return other
    assert not isinstance(test.operand, tuple)
    return Range(exact(test.operand), exact(test.operand))

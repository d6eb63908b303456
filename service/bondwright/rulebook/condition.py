"""Condition trees: what a rule tests."""

from collections.abc import Iterator
from typing import Literal, TypeAlias

from msgspec import Struct

Operator: TypeAlias = Literal["is", "at_least", "above", "at_most", "below"]
"""`is` tests yes/no and choices against a set of values; the others compare numbers."""


class Test(Struct, frozen=True):
    """One test of one fact.

    `operand` is, for `is`, the set of values that hold (sorted, no repeats); for the others a number in the fact's
    unit, or the name of another number fact of the same subject.
    """

    __test__ = False  # keeps pytest from collecting it

    fact: str
    operator: Operator
    operand: tuple[str, ...] | float | str


class All(Struct, frozen=True):
    """Holds when every member holds; an empty one always holds."""

    members: "tuple[Condition, ...]"


class Any(Struct, frozen=True):
    """Holds when at least one member holds."""

    members: "tuple[Condition, ...]"


class Not(Struct, frozen=True):
    """Holds when its member does not."""

    member: "Condition"


Condition: TypeAlias = Test | All | Any | Not


def tests_in(condition: Condition) -> Iterator[Test]:
    """Every test of `condition`, left to right, repeats included."""
    match condition:
        case Test():
            yield condition
        case Not(member):
            yield from tests_in(member)
        case All(members) | Any(members):
            for member in members:
                yield from tests_in(member)

"""What numbers a calculation accepts."""

import math
from typing import TypeAlias

from bondwright.errors import BondwrightError

Range: TypeAlias = tuple[float, float]
"""A number known to lie from the first to the second, both included."""


class OutOfRange(BondwrightError):
    """An input with which the calculation means nothing; `name` and `value` say which."""

    def __init__(self, name: str, value: float, would_be_right: str) -> None:
        self.name, self.value = name, value
        super().__init__(f"{name} is {value}; it must be {would_be_right}")


def require_positive(**values: float) -> None:
    """Pass if every value is finite and above zero.

    Raises: OutOfRange, for the first that is not.

    >>> require_positive(length_m=3.0)
    """
    for name, value in values.items():
        if not (math.isfinite(value) and value > 0):
            raise OutOfRange(name, value, "finite and above zero")


def require_not_negative(**values: float) -> None:
    """Pass if every value is finite and zero or more.

    Raises: OutOfRange, for the first that is not.

    >>> require_not_negative(body_ohm=0.0)
    """
    for name, value in values.items():
        if not (math.isfinite(value) and value >= 0):
            raise OutOfRange(name, value, "finite and zero or more")


def require_rising(**ranges: Range) -> None:
    """Pass if no range ends below where it starts.

    Raises: OutOfRange, for the first that does.

    >>> require_rising(length_m=(1.0, 2.0))
    """
    for name, (lowest, highest) in ranges.items():
        if not lowest <= highest:
            raise OutOfRange(name, highest, f"at least its own lowest value {lowest}")

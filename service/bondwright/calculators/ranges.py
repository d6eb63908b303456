"""What numbers a calculation accepts."""

import math
from typing import TypeAlias

from bondwright.errors import BondwrightError

Range: TypeAlias = tuple[float, float]
"""A number known to lie from the first to the second, both included."""


class OutOfRange(BondwrightError):
    """An input with which the calculation means nothing; `name` and `value` say which, `would_be_right` what it must be."""

    def __init__(self, name: str, value: float, would_be_right: str) -> None:
        self.name, self.value, self.would_be_right = name, value, would_be_right
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


def require_finite(**values: float) -> None:
    """Pass if every value is a finite number, whatever its sign.

    Raises: OutOfRange, for the first that is not.

    >>> require_finite(temperature_c=-5.0)
    """
    for name, value in values.items():
        if not math.isfinite(value):
            raise OutOfRange(name, value, "finite")


def finite_result(name: str, value: float) -> float:
    """`value`, a result of arithmetic on accepted inputs.

    Raises: OutOfRange, if the inputs were too large or too small for the arithmetic, so that none came out.

    >>> finite_result("resistance_ohm", 0.5)
    0.5
    """
    require_finite(**{name: value})
    return value


def require_rising(**ranges: Range) -> None:
    """Pass if no range ends below where it starts.

    Raises: OutOfRange, for the first that does.

    >>> require_rising(length_m=(1.0, 2.0))
    """
    for name, (lowest, highest) in ranges.items():
        if not lowest <= highest:
            raise OutOfRange(name, highest, f"at least its own lowest value {lowest}")

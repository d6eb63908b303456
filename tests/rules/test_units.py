"""Quantities are written with a dot and held in base units."""

import doctest
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as some

from bondwright import units

HELD = (
    ("10", "mA", 0.01),
    ("22", "kohm", 22000.0),
    ("0.05", "mohm", 0.00005),
    ("600", "mm", 0.6),
    ("1000", "Mohm", 1e9),
    ("2.5", "mm2", 2.5),
)


@pytest.mark.parametrize(("number", "unit", "held"), HELD)
def test_a_quantity_is_held_in_its_base_unit(number: str, unit: str, held: float) -> None:
    assert held == units.in_base(Decimal(number), unit)


@pytest.mark.parametrize(
    "text", ["1,5", "012", "1e3", "12:30", "-1", "+1", ".5", "5.", "", " 1", "1_000", "\u0661", "0x1", "nan", "9" * 400]
)
def test_what_is_no_plain_decimal_is_refused(text: str) -> None:
    assert units.decimal(text) is None


@given(some.decimals(min_value=0, max_value=10**14, places=6))
def test_a_plain_decimal_is_read_as_the_number_it_writes(number: Decimal) -> None:
    assert number == units.decimal(f"{number:f}")


def test_every_unit_is_held_in_a_base_unit() -> None:
    assert all(units.is_base(unit.base) for unit in units.UNITS.values())


def test_the_examples_in_the_docstrings_hold() -> None:
    assert tuple(doctest.testmod(units)) == (0, 9)

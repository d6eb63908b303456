"""Units of measurement: how a quantity is written, and the base unit in which each kind of quantity is held.

Held in: mm2, m, ohm, A, V, s, uS/cm, and `of one` for a ratio. Prefixes are those of the SI.
"""

import re
from collections.abc import Mapping
from decimal import ROUND_CEILING, ROUND_FLOOR, Context, Decimal
from functools import cache
from types import MappingProxyType

from msgspec import Struct


class Unit(Struct, frozen=True):
    """One way to write a quantity: `base` is the unit it is held in, `factor` how many of those one of these is."""

    base: str
    factor: Decimal


UNITS: Mapping[str, Unit] = MappingProxyType(
    {
        "mm2": Unit("mm2", Decimal(1)),
        "mm": Unit("m", Decimal("0.001")),
        "m": Unit("m", Decimal(1)),
        "mohm": Unit("ohm", Decimal("0.001")),
        "ohm": Unit("ohm", Decimal(1)),
        "kohm": Unit("ohm", Decimal(1000)),
        "Mohm": Unit("ohm", Decimal(1000000)),
        "Gohm": Unit("ohm", Decimal(1000000000)),
        "mA": Unit("A", Decimal("0.001")),
        "A": Unit("A", Decimal(1)),
        "V": Unit("V", Decimal(1)),
        "s": Unit("s", Decimal(1)),
        "uS/cm": Unit("uS/cm", Decimal(1)),
        "of one": Unit("of one", Decimal(1)),
    }
)
"""Every unit that may be written, by its spelling."""

_AT_THE_END = MappingProxyType(
    {
        "_us_per_cm": "µS/cm",
        "_mm2": "mm²",
        "_mm": "mm",
        "_m": "m",
        "_ohm": "ohm",
        "_ma": "mA",
        "_a": "A",
        "_v": "V",
        "_s": "s",
        "_w": "W",
        "_c": "°C",
    }
)
_WHOLE = MappingProxyType({"size": "mm²", "cpc": "mm²", "ohm": "ohm", "k": "A·√s/mm²"})
"""Names of members that say their unit by themselves."""

ANSWER_DIGITS = 10
"""Significant digits in the answer of a calculation."""
ANSWER_DECIMALS = 4
"""Decimals of every number in an answer."""
_EXACT_DIGITS = 14
"""Digits beyond which only the last digits of the arithmetic stand."""

_DECIMAL = re.compile(r"(?:0|[1-9][0-9]{0,14})(?:\.[0-9]{1,12})?")


def decimal(text: str) -> Decimal | None:
    """The number that `text` writes with digits and a dot; None for a comma, sign, exponent, colon or leading zero.

    >>> decimal("1.5"), decimal("1,5"), decimal("012")
    (Decimal('1.5'), None, None)
    """
    return Decimal(text) if _DECIMAL.fullmatch(text) else None


def in_base(number: Decimal, unit: str) -> float:
    """`number` of `unit`, in its base unit; `unit` is a spelling in `UNITS`.

    >>> in_base(Decimal("10"), "mA")
    0.01
    """
    return float(number * UNITS[unit].factor)


def unit_of_field(name: str) -> str | None:
    """The unit of a number that a request holds under this name, as people write it; None where the name says none.

    >>> unit_of_field("length_m"), unit_of_field("size"), unit_of_field("count")
    ('m', 'mm²', None)
    """
    return _WHOLE.get(name) or _AT_THE_END.get(unit_ending(name))


def unit_ending(name: str) -> str:
    """The end of a name that says its unit; empty where it has none.

    >>> unit_ending("bore_mm"), unit_ending("size")
    ('_mm', '')
    """
    return next((end for end in _AT_THE_END if name.endswith(end) and name != end), "")


def is_base(unit: str) -> bool:
    """True when quantities are held in `unit`."""
    return unit in UNITS and UNITS[unit].base == unit


@cache
def spellings(base: str) -> tuple[str, ...]:
    """The units in which a quantity held in `base` may be written.

    >>> spellings("A")
    ('mA', 'A')
    """
    return tuple(name for name, unit in UNITS.items() if unit.base == base)


def rounded(value: float) -> float:
    """A number as answers give it: rounded once, to the decimals declared here, so that the last digits of the arithmetic do not show.

    >>> rounded(1666.666666)
    1666.6667
    """
    return round(value, ANSWER_DECIMALS)


def significant(value: float) -> float:
    """A number as calculations give it: to ten significant digits.

    >>> significant(0.00018300000000000003)
    0.000183
    """
    return float(f"{value:.{ANSWER_DIGITS}g}")


def significant_below(value: float) -> float:
    """A limit that nothing may exceed, as calculations give it: to ten significant digits, never above `value`.

    >>> significant_below(50 / 30), significant_below(0.3)
    (1.666666666, 0.3)
    """
    return _cut(value, ANSWER_DIGITS, ROUND_FLOOR)


def significant_above(value: float) -> float:
    """A limit that a reading must reach, as calculations give it: to ten significant digits, never below `value`.

    >>> significant_above(100 / 30), significant_above(0.3)
    (3.333333334, 0.3)
    """
    return _cut(value, ANSWER_DIGITS, ROUND_CEILING)


def _cut(value: float, digits: int, rounding: str) -> float:
    return float(Context(prec=digits, rounding=rounding).create_decimal(_as_worked_out(value)))


def _as_worked_out(value: float) -> Decimal:
    """The number without the last digits of the arithmetic, so that what should be 0.3 is not cut to 0.2999999999."""
    return Context(prec=_EXACT_DIGITS).create_decimal(repr(value))

"""What an instrument shows: a resistance, or that it is beyond one end of the range."""

from decimal import Decimal
from typing import Literal, TypeAlias

from msgspec import Struct

from bondwright.units import in_base

Sign: TypeAlias = Literal["=", "<", ">"]


class Shown(Struct, frozen=True):
    """A resistance in ohm as an instrument shows it: that itself, less than that, or more than that."""

    sign: Sign
    ohm: float


def shown(reading: float | str) -> Shown:
    """What a reading says: a number of ohm, or text as `words.ReadingText` has it.

    >>> shown(">999 MΩ")
    Shown(sign='>', ohm=999000000.0)
    """
    if not isinstance(reading, str):
        return Shown("=", reading)
    sign: Sign = "<" if reading[0] == "<" else ">" if reading[0] == ">" else "="
    number, unit = reading.removeprefix(sign).split(" ")
    return Shown(sign, in_base(Decimal(number), unit.replace("Ω", "ohm")))

"""Resistance of conductors, and sizes of different metals and systems compared.

A resistance table maps sizes in mm² to the maximum resistance in ohm/km of that metal; it must fall as sizes rise.
"""

import math
import re
from collections.abc import Collection, Mapping, Sequence
from functools import lru_cache

from bondwright.calculators.ranges import (
    OutOfRange,
    Range,
    finite_result,
    require_finite,
    require_not_negative,
    require_positive,
    require_rising,
)

_MM_PER_INCH = 25.4
_METRES_PER_KM = 1000


def conductor_resistance(length_m: float, ohm_per_km: float, temperature_c: float, reference_c: float, coefficient_per_k: float) -> float:
    """Resistance in ohm of a conductor, one way, at its own temperature.

    Inputs: length >= 0; `ohm_per_km` above 0 and measured at `reference_c`; coefficient >= 0, at `reference_c`.
    Raises: OutOfRange, also at a temperature so low that no resistance would be left.
    Source: resistance rises by the coefficient for each kelvin above the reference (elementary physics).

    >>> round(conductor_resistance(20, 1.83, 20, 20, 0.00393), 6)
    0.0366
    """
    require_not_negative(length_m=length_m, coefficient_per_k=coefficient_per_k)
    require_positive(ohm_per_km=ohm_per_km)
    factor = 1 + coefficient_per_k * (temperature_c - reference_c)
    require_positive(temperature_factor=factor)
    return finite_result("resistance_ohm", length_m / _METRES_PER_KM * ohm_per_km * factor)


def conductor_resistance_between(
    length_m: Range, ohm_per_km: Range, temperature_c: Range, reference_c: float, coefficient_per_k: float
) -> Range:
    """Least and greatest resistance in ohm that such a conductor can have: what a sound bond should read.

    Inputs: as for `conductor_resistance`, the first three between bounds. A resistance table gives the greatest `ohm_per_km`
    that a size may have; how much less a maker's conductor has is the caller's to say.
    Raises: OutOfRange, also if a range ends below where it starts.

    >>> [round(end, 4) for end in conductor_resistance_between((10, 15), (1.7, 1.83), (5, 30), 20, 0.00393)]
    [0.016, 0.0285]
    """
    require_rising(length_m=length_m, ohm_per_km=ohm_per_km, temperature_c=temperature_c)
    return (
        conductor_resistance(length_m[0], ohm_per_km[0], temperature_c[0], reference_c, coefficient_per_k),
        conductor_resistance(length_m[1], ohm_per_km[1], temperature_c[1], reference_c, coefficient_per_k),
    )


def greatest_length(resistance_ohm: float, ohm_per_km: float, temperature_c: float, reference_c: float, coefficient_per_k: float) -> float:
    """Length in m at which a conductor just reaches a resistance, one way, at its own temperature.

    Inputs: resistance >= 0; the rest as for `conductor_resistance`, of which this is the inverse.
    Raises: OutOfRange.

    >>> round(greatest_length(0.05, 1.83, 20, 20, 0.00393), 1)
    27.3
    """
    require_not_negative(resistance_ohm=resistance_ohm)
    ohm_per_m = conductor_resistance(1, ohm_per_km, temperature_c, reference_c, coefficient_per_k)
    require_positive(ohm_per_m=ohm_per_m)
    return finite_result("length_m", resistance_ohm / ohm_per_m)


def tabulated_resistance(size_mm2: float, ohm_per_km: Mapping[float, float]) -> float:
    """Resistance in ohm/km of a size, from a resistance table.

    Between two sizes of the table conductance rises in a straight line; outside it conductance goes with size.
    Raises: OutOfRange, if the size is not positive and finite or the table does not fall.

    >>> tabulated_resistance(10, {6: 3.08, 10: 1.83, 16: 1.15})
    1.83
    """
    require_positive(size_mm2=size_mm2)
    conductance = _along(size_mm2, _conductances(ohm_per_km))
    require_positive(conductance=conductance)
    return ohm_per_km.get(size_mm2) or finite_result("ohm_per_km", 1 / conductance)


def copper_equivalent(size_mm2: float, ohm_per_km: Mapping[float, float], copper_ohm_per_km: Mapping[float, float]) -> float:
    """Size in mm² of the copper conductor with the same conductance as `size_mm2` of the metal of the first table.

    Raises: OutOfRange, if the size is not positive and finite or a table does not fall.
    Source: BS 7671 regulation 544.1.1 compares other metals with copper by conductance.

    >>> round(copper_equivalent(70, {70: 0.443}, {35: 0.524, 50: 0.387}), 1)
    42.7
    """
    conductance = 1 / tabulated_resistance(size_mm2, ohm_per_km)
    return finite_result("size_mm2", _along(conductance, _sizes(copper_ohm_per_km)))


def imperial_area(strands: int, diameter_inch: float) -> float:
    """Area of metal in mm² of a stranded imperial size, such as 7/.064.

    Raises: OutOfRange, if an input is not positive and finite.

    >>> round(imperial_area(7, 0.064), 1)
    14.5
    """
    require_positive(strands=strands, diameter_inch=diameter_inch)
    diameter_mm = diameter_inch * _MM_PER_INCH
    return finite_result("size_mm2", strands * math.pi / 4 * diameter_mm * diameter_mm)


def area_of_imperial(size: str) -> float:
    """Area of metal in mm² of a stranded imperial size as it is written: strands, and their diameter in inches.

    Raises: OutOfRange, if it is no such size.

    >>> round(area_of_imperial("7/.044"), 2)
    6.87
    """
    found = re.fullmatch(r"([0-9]{1,3})/(\.[0-9]{1,6})", size)
    if found is None:
        raise OutOfRange("imperial size", 0, "written as strands and diameter, such as 7/.064")
    return imperial_area(int(found[1]), float(found[2]))


def stocked_size(size_mm2: float, sizes_mm2: Collection[float]) -> float:
    """The least of the sizes that are made, in any order, which is at least `size_mm2`.

    Raises: OutOfRange, if the size is not positive and finite, or greater than all that are made.

    >>> stocked_size(1.1, (1, 1.5, 2.5))
    1.5
    """
    require_positive(size_mm2=size_mm2)
    for size in sizes_mm2:
        require_positive(sizes_mm2=size)
    enough = [size for size in sizes_mm2 if size >= size_mm2]
    if not enough:
        raise OutOfRange("size_mm2", size_mm2, "no more than the largest size that is made")
    return min(enough)


def _conductances(ohm_per_km: Mapping[float, float]) -> tuple[tuple[float, float], ...]:
    """(size, conductance) pairs of a resistance table, both strictly rising."""
    return _rising(tuple(ohm_per_km.items()))


def _sizes(ohm_per_km: Mapping[float, float]) -> tuple[tuple[float, float], ...]:
    """The same, as (conductance, size) pairs."""
    return _turned(tuple(ohm_per_km.items()))


@lru_cache
def _turned(table: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    return tuple([(conductance, size) for size, conductance in _rising(table)])


@lru_cache
def _rising(table: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    """Made once for each of the tables met last, for nothing but its numbers decides: it took a sixth of 8,000 bonds (2026-11-30)."""
    if not table:
        raise OutOfRange("sizes in the table", 0, "one or more")
    points: list[tuple[float, float]] = []
    for size, resistance in sorted(table):
        require_positive(size_mm2=size, ohm_per_km=resistance)
        require_finite(conductance=1 / resistance)
        if points and 1 / resistance <= points[-1][1]:
            raise OutOfRange(f"ohm_per_km at {size} mm2", resistance, "less than at the size before")
        points.append((size, 1 / resistance))
    return tuple(points)


def _along(value: float, points: Sequence[tuple[float, float]]) -> float:
    """What stands over `value` on the line through zero and `points`, and on in proportion beyond the last one."""
    left, under = 0.0, 0.0
    for right, over in points:
        if value <= right:
            return under + (over - under) * (value - left) / (right - left)
        left, under = right, over
    return under * value / left

"""Water in plastic pipe: how well a column of it isolates."""

import math
from bisect import bisect_left
from collections.abc import Mapping

from bondwright.calculators.ranges import (
    OutOfRange,
    Range,
    finite_result,
    require_finite,
    require_not_negative,
    require_positive,
    require_rising,
)

_METRE_PER_MM = 1e-3
_SIEMENS_PER_M_PER_US_PER_CM = 1e-4


def column_resistance(length_m: float, bore_mm: float, conductivity_us_per_cm: float) -> float:
    """Resistance in ohm of the water in a full straight pipe, from end to end.

    Inputs: length >= 0 (no length isolates nothing); bore is the inside diameter, above 0; conductivity above 0, at the
    temperature of the water.
    Raises: OutOfRange.
    Source: R = L / (conductivity · area) (elementary physics).

    >>> round(column_resistance(1, 15, 2500))
    22635
    """
    require_not_negative(length_m=length_m)
    return finite_result("resistance_ohm", length_m / _siemens_metre(bore_mm, conductivity_us_per_cm))


def column_resistance_between(length_m: Range, bore_mm: Range, conductivity_us_per_cm: Range) -> Range:
    """Least and greatest resistance in ohm that such a column can have.

    Inputs: as for `column_resistance`, each between bounds.
    Raises: OutOfRange, also if a range ends below where it starts.

    >>> [round(end) for end in column_resistance_between((1, 2), (15, 15), (500, 2500))]
    [22635, 226354]
    """
    require_rising(length_m=length_m, bore_mm=bore_mm, conductivity_us_per_cm=conductivity_us_per_cm)
    return (
        column_resistance(length_m[0], bore_mm[1], conductivity_us_per_cm[1]),
        column_resistance(length_m[1], bore_mm[0], conductivity_us_per_cm[0]),
    )


def least_length(limit_ohm: float, bore_mm: float, conductivity_us_per_cm: float) -> float:
    """Length in m from which on the water in a full straight pipe has at least `limit_ohm`, from end to end.

    Inputs: limit >= 0; the rest as for `column_resistance`, of which this is the inverse.
    Raises: OutOfRange.

    >>> round(least_length(22_000, 15, 2500), 2)
    0.97
    """
    require_not_negative(limit_ohm=limit_ohm)
    return finite_result("length_m", limit_ohm * _siemens_metre(bore_mm, conductivity_us_per_cm))


def column_current(voltage_v: float, length_m: float, bore_mm: float, conductivity_us_per_cm: float) -> float:
    """Current in ampere that a voltage between its ends drives through such a column.

    Inputs: voltage and length above 0; the rest as for `column_resistance`.
    Raises: OutOfRange.

    >>> round(column_current(230, 3, 11.7, 540), 4)
    0.0004
    """
    require_positive(voltage_v=voltage_v, length_m=length_m)
    resistance_ohm = column_resistance(length_m, bore_mm, conductivity_us_per_cm)
    require_positive(resistance_ohm=resistance_ohm)
    return finite_result("current_a", voltage_v / resistance_ohm)


def conductivity_at(temperature_c: float, conductivity_us_per_cm: float, measured_c: float, coefficient_per_k: float) -> float:
    """Conductivity in µS/cm that water has at `temperature_c`, if it has `conductivity_us_per_cm` at `measured_c`.

    Inputs: conductivity above 0; coefficient >= 0, the share of the conductivity at `measured_c` gained with each kelvin. A
    straight line serves for some tens of kelvin; over more it falls short.
    Raises: OutOfRange, also at a temperature so low that no conductivity would be left.

    >>> conductivity_at(10, 500, 20, 0.02)
    400.0
    """
    require_positive(conductivity_us_per_cm=conductivity_us_per_cm)
    require_not_negative(coefficient_per_k=coefficient_per_k)
    require_finite(temperature_c=temperature_c, measured_c=measured_c)
    factor = 1 + coefficient_per_k * (temperature_c - measured_c)
    require_positive(temperature_factor=factor)
    conductivity = conductivity_us_per_cm * factor
    require_positive(conductivity_us_per_cm=conductivity)
    return conductivity


def greatest_conductivity_at(
    temperature_c: float, conductivity_us_per_cm: float, measured_c: float, most: Mapping[float, float], least: Mapping[float, float]
) -> float:
    """The greatest conductivity in µS/cm that water may have at `temperature_c`, if it has `conductivity_us_per_cm` at `measured_c`.

    Inputs: conductivity above 0; `most` and `least` as for `growth_at`, of the water that gains most with temperature, which counts
    towards a warmer one, and of the water that gains least, which counts towards a colder one.
    Raises: OutOfRange, as `growth_at` does.

    >>> [greatest_conductivity_at(at, 500, 20, {10: 0.77, 20: 1, 30: 1.26}, {10: 0.8, 20: 1, 30: 1.21}) for at in (10, 20, 30)]
    [400.0, 500.0, 630.0]
    """
    require_positive(conductivity_us_per_cm=conductivity_us_per_cm)
    growth = least if temperature_c < measured_c else most
    ratio = growth_at(temperature_c, growth) / growth_at(measured_c, growth)
    return finite_result("conductivity_us_per_cm", conductivity_us_per_cm * ratio)


def growth_at(temperature_c: float, growth: Mapping[float, float]) -> float:
    """Conductivity of water at a temperature over that at the one of reference, from a table by temperature in °C.

    Between two temperatures of the table it rises in a straight line; beyond its ends nothing is guessed.
    Raises: OutOfRange, also if a ratio is not above 0 and finite, or falls with temperature.

    >>> growth_at(25, {20: 1, 30: 1.26})
    1.13
    """
    require_finite(temperature_c=temperature_c)
    points = sorted(growth.items())
    for (_, below), (at, ratio) in zip([(0.0, 0.0), *points], points, strict=False):
        require_positive(**{f"ratio at {at:g}": ratio})
        require_rising(**{f"ratio up to {at:g}": (below, ratio)})
    if not points or not points[0][0] <= temperature_c <= points[-1][0]:
        ends = f"from {points[0][0]:g} to {points[-1][0]:g} °C" if points else "in the table, which has no rows"
        raise OutOfRange("temperature_c", temperature_c, ends)
    place = bisect_left(points, temperature_c, key=lambda point: point[0])
    right, over = points[place]
    if right == temperature_c:
        return over
    left, under = points[place - 1]
    share = (temperature_c - left) / (right - left)
    return finite_result("ratio", under * (1 - share) + over * share)


def _siemens_metre(bore_mm: float, conductivity_us_per_cm: float) -> float:
    """Conductivity times area in S·m, above 0 and finite: a column of length L has L over this, in ohm."""
    require_positive(bore_mm=bore_mm, conductivity_us_per_cm=conductivity_us_per_cm)
    bore_m = bore_mm * _METRE_PER_MM
    siemens_metre = conductivity_us_per_cm * _SIEMENS_PER_M_PER_US_PER_CM * math.pi / 4 * bore_m * bore_m
    require_positive(conductivity_times_area=siemens_metre)  # inputs too small or too large for the arithmetic
    return siemens_metre

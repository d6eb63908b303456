"""Water in plastic pipe: how well a column of it isolates."""

import math

from bondwright.calculators.ranges import Range, require_not_negative, require_positive, require_rising

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
    require_positive(bore_mm=bore_mm, conductivity_us_per_cm=conductivity_us_per_cm)
    bore_m = bore_mm * _METRE_PER_MM
    siemens_metre = conductivity_us_per_cm * _SIEMENS_PER_M_PER_US_PER_CM * math.pi / 4 * bore_m * bore_m
    require_positive(conductivity_times_area=siemens_metre)  # inputs too small or too large for the arithmetic
    return length_m / siemens_metre


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

"""Metal pipes as conductors: the wall, without its joints and whatever lies beside it.

Joints and repairs decide more than the wall does, so a figure from here says what sound metal would give, not what there is.
"""

import math

from bondwright.calculators.ranges import OutOfRange, finite_result, require_positive


def tube_area(outside_mm: float, wall_mm: float) -> float:
    """Area of metal in mm² across a round tube.

    Inputs: outside diameter and thickness of the wall, above 0; a wall of half the diameter or more leaves no bore.
    Raises: OutOfRange.
    Source: area of a ring (elementary geometry).

    >>> round(tube_area(33.7, 3.2))
    307
    """
    require_positive(outside_mm=outside_mm, wall_mm=wall_mm)
    if not 2 * wall_mm < outside_mm:
        raise OutOfRange("wall_mm", wall_mm, f"less than half the outside diameter of {outside_mm} mm")
    return finite_result("metal_area_mm2", math.pi * (outside_mm - wall_mm) * wall_mm)


def tube_resistance_per_metre(outside_mm: float, wall_mm: float, resistivity_ohm_mm2_per_m: float) -> float:
    """Resistance in ohm of one metre of such a tube along its wall, at the temperature of the resistivity.

    Inputs: as for `tube_area`; resistivity above 0.
    Raises: OutOfRange.

    >>> round(tube_resistance_per_metre(33.7, 3.2, 0.138), 5)
    0.00045
    """
    area = tube_area(outside_mm, wall_mm)
    require_positive(resistivity_ohm_mm2_per_m=resistivity_ohm_mm2_per_m, metal_area_mm2=area)
    return finite_result("ohm_per_m", resistivity_ohm_mm2_per_m / area)


def tube_copper_equivalent(outside_mm: float, wall_mm: float, resistivity_ohm_mm2_per_m: float, copper_ohm_mm2_per_m: float) -> float:
    """Area in mm² of solid copper with the same conductance as the wall of such a tube.

    It compares metal with metal. A copper cable of a nominal size has less copper than its name, so this is the cautious
    answer to which cable the tube stands for; `conductors.copper_equivalent` gives the other.
    Inputs: as for `tube_resistance_per_metre`; resistivity of copper above 0, at the same temperature.
    Raises: OutOfRange.

    >>> round(tube_copper_equivalent(33.7, 3.2, 0.138, 0.01724))
    38
    """
    area = tube_area(outside_mm, wall_mm)
    require_positive(resistivity_ohm_mm2_per_m=resistivity_ohm_mm2_per_m, copper_ohm_mm2_per_m=copper_ohm_mm2_per_m)
    return finite_result("size_mm2", area * (copper_ohm_mm2_per_m / resistivity_ohm_mm2_per_m))

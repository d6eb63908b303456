"""Least size of a protective conductor: by the heat of a fault, or by selection from the line conductor.

The heat is taken to stay in the metal. Beyond some seconds it does not, and in the first half-waves of a fault the current
is not yet what it is said to be; both limits are the caller's.
"""

import math

from msgspec import Struct

from bondwright.calculators.ranges import OutOfRange, finite_result, require_finite, require_positive


class Metal(Struct, frozen=True):
    """What decides how fast a conductor of a metal heats.

    `heat_j_per_k_mm3`: volumetric heat capacity. `beta_c`: reciprocal of the temperature coefficient of resistance at 0 °C,
    in °C. `resistivity_ohm_mm`: at the temperature `reference_c`.
    """

    heat_j_per_k_mm3: float
    beta_c: float
    resistivity_ohm_mm: float
    reference_c: float


def heating_constant(metal: Metal, initial_c: float, final_c: float) -> float:
    """The constant k in A·√s/mm² of a conductor that may heat from the initial to the final temperature.

    Inputs: heat capacity, resistivity above 0; temperatures above -beta; final above initial.
    Raises: OutOfRange.
    Source: k = √(Q (β + 20) / ρ₂₀ · ln((β + θf) / (β + θi))), IEC 60364-5-54 Annex A.

    >>> round(heating_constant(Metal(3.45e-3, 234.5, 17.241e-6, 20), 30, 160))
    143
    """
    require_positive(heat_j_per_k_mm3=metal.heat_j_per_k_mm3, resistivity_ohm_mm=metal.resistivity_ohm_mm)
    require_finite(beta_c=metal.beta_c, reference_c=metal.reference_c, initial_c=initial_c, final_c=final_c)
    require_positive(beta_plus_reference=metal.beta_c + metal.reference_c, beta_plus_initial=metal.beta_c + initial_c)
    if not final_c > initial_c:
        raise OutOfRange("final_c", final_c, f"above the initial temperature {initial_c}")
    heated = math.log1p((final_c - initial_c) / (metal.beta_c + initial_c))
    square = metal.heat_j_per_k_mm3 / metal.resistivity_ohm_mm * (metal.beta_c + metal.reference_c) * heated
    require_positive(k_squared=square)
    return math.sqrt(square)


def least_size(current_a: float, time_s: float, k: float, longest_s: float) -> float:
    """Size in mm² of the smallest conductor that carries a fault current for a time without growing too hot.

    Inputs: all above 0; `k` as from `heating_constant`; `longest_s` is the longest time for which the formula is used.
    Raises: OutOfRange, also if the time is longer than that.
    Source: S = √(I²t) / k, BS 7671 regulation 543.1.3.

    >>> round(least_size(200, 0.4, 115, 5), 2)
    1.1
    """
    seconds = _root_of_time(time_s, longest_s)
    require_positive(current_a=current_a, k=k)
    return finite_result("size_mm2", current_a * seconds / k)


def _root_of_time(time_s: float, longest_s: float) -> float:
    require_positive(time_s=time_s, longest_s=longest_s)
    if time_s > longest_s:
        raise OutOfRange("time_s", time_s, f"no longer than {longest_s:g} s, for which the formula is used")
    return math.sqrt(time_s)

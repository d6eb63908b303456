"""When metalwork is isolated enough that it cannot bring in a harmful potential."""

from typing import Literal, TypeAlias

from bondwright.calculators.instruments import true_value_between
from bondwright.calculators.ranges import finite_result, require_not_negative, require_positive

Isolation: TypeAlias = Literal["at_or_above", "within_uncertainty", "below"]
"""How a reading stands to a limit. "at_or_above", "below": the true value surely does. "within_uncertainty": the reading
does not decide; it is to be repeated or made with a better instrument."""


def isolation_limit(voltage_v: float, touch_current_a: float, body_ohm: float) -> float:
    """Resistance in ohm to the main earthing terminal from which no more than `touch_current_a` can flow through a body.

    Inputs: voltage and current above 0; body resistance >= 0, zero to leave the body out. Never below 0.
    Raises: OutOfRange.
    Source: R = U / I less the impedance of the body, as IET Guidance Note 8 is quoted in trade forums.

    >>> isolation_limit(230, 0.010, 1000)
    22000.0
    """
    require_positive(voltage_v=voltage_v, touch_current_a=touch_current_a)
    require_not_negative(body_ohm=body_ohm)
    return max(0.0, finite_result("resistance_ohm", voltage_v / touch_current_a) - body_ohm)


def judge_isolation(measured_ohm: float, limit_ohm: float, relative_uncertainty: float, fixed_ohm: float) -> Isolation:
    """How a measured resistance to the main earthing terminal stands to the limit, as far as the instrument can be trusted.

    Inputs: none below 0; `relative_uncertainty` is a share of the reading, `fixed_ohm` what may be added or missing besides.
    Says nothing of whether the reading was taken rightly: a part with other paths to earth reads lower than it isolates.
    Raises: OutOfRange.

    >>> judge_isolation(30_000, 22_000, 0.3, 0)
    'within_uncertainty'
    """
    require_not_negative(limit_ohm=limit_ohm)
    lowest, highest = true_value_between(measured_ohm, relative_uncertainty, fixed_ohm)
    if lowest >= limit_ohm:
        return "at_or_above"
    return "below" if highest < limit_ohm else "within_uncertainty"

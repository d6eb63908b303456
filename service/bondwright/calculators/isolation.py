"""When metalwork is isolated enough that it cannot bring in a harmful potential."""

from bondwright.calculators.ranges import require_not_negative, require_positive


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
    return max(0.0, voltage_v / touch_current_a - body_ohm)

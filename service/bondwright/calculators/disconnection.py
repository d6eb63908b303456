"""What fault protection asks of loop, electrode and device.

The operating current of a device is the current at which it acts in time: for a residual current device its rated residual
operating current, for a fuse a value of its table, never its rating.
"""

from collections.abc import Mapping

from bondwright.calculators.ranges import OutOfRange, finite_result, require_positive


def fault_current(voltage_v: float, loop_ohm: float) -> float:
    """Current in ampere that a voltage drives round a fault loop.

    Raises: OutOfRange, if an input is not positive and finite.
    Source: Ohm's law.

    >>> round(fault_current(230, 1.15))
    200
    """
    require_positive(voltage_v=voltage_v, loop_ohm=loop_ohm)
    return finite_result("current_a", voltage_v / loop_ohm)


def greatest_loop_impedance(voltage_v: float, operating_current_a: float, voltage_factor: float) -> float:
    """Impedance in ohm of the fault loop at which a device is just driven to act in time.

    Inputs: above 0; `voltage_factor` is the least voltage over the nominal one, 1 where none is allowed for.
    Raises: OutOfRange.
    Source: Zs · Ia <= U0 · Cmin, BS 7671 regulation 411.4.4.

    >>> round(greatest_loop_impedance(230, 160, 0.95), 2)
    1.37
    """
    require_positive(voltage_v=voltage_v, operating_current_a=operating_current_a, voltage_factor=voltage_factor)
    return finite_result("loop_ohm", voltage_v * voltage_factor / operating_current_a)


def electrode_limit(touch_voltage_v: float, residual_current_a: float) -> float:
    """Greatest resistance in ohm of an earth electrode, with its conductor, at which a residual current device protects.

    Inputs: above 0; the touch voltage that may last, and the rated residual operating current.
    Raises: OutOfRange.
    Source: RA · IΔn <= UL, BS 7671 regulation 411.5.3.

    >>> round(electrode_limit(50, 0.03))
    1667
    """
    require_positive(touch_voltage_v=touch_voltage_v, residual_current_a=residual_current_a)
    return finite_result("electrode_ohm", touch_voltage_v / residual_current_a)


def tabulated_current(rated_a: float, operating_a: Mapping[float, float]) -> float:
    """Current in ampere at which an overcurrent device of a rating acts in time, from the table of its kind.

    Inputs: for each rating that is made, the operating current; no rating in between is guessed at.
    Raises: OutOfRange, also if a current of the table does not lie above its rating, or does not rise.

    >>> tabulated_current(30, {20: 60, 30: 87})
    87
    """
    require_positive(rated_a=rated_a)
    least = 0.0
    for rating, current in sorted(operating_a.items()):
        require_positive(rated_a=rating, operating_a=current)
        if current <= max(rating, least):
            raise OutOfRange(f"operating_a at {rating} A", current, "above the rating and above the current of the rating before")
        least = current
    if rated_a not in operating_a:
        raise OutOfRange("rated_a", rated_a, f"one of {', '.join(map(str, sorted(operating_a)))} as in the table")
    return operating_a[rated_a]

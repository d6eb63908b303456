"""Whether a connection holds the touch voltage down until the protective device acts."""

from bondwright.calculators.ranges import finite_result, require_positive


def operating_current(rated_a: float, multiple: float) -> float:
    """Current in ampere at which a device acts in time: its rating times the multiple for its type.

    Raises: OutOfRange, if an input is not positive and finite.

    >>> operating_current(32, 5)
    160
    """
    require_positive(rated_a=rated_a, multiple=multiple)
    return finite_result("operating_current_a", rated_a * multiple)


def resistance_limit(voltage_v: float, operating_current_a: float) -> float:
    """Greatest resistance in ohm across which `operating_current_a` drops no more than `voltage_v`.

    The current is the one at which the device acts in time, not its rating.
    Raises: OutOfRange, if an input is not positive and finite.
    Source: Ohm's law, as BS 7671 regulation 415.2.2 applies it to supplementary bonding.

    >>> resistance_limit(50, 160)
    0.3125
    """
    require_positive(voltage_v=voltage_v, operating_current_a=operating_current_a)
    return finite_result("resistance_ohm", voltage_v / operating_current_a)

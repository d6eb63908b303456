"""The current that a touch voltage drives through a person, in numbers of the literature.

Context for a reader who must choose a limit. Body impedance differs from person to person and with skin, moisture and area
of contact; a figure from here describes a share of the people measured, and promises safety to nobody.
"""

from bisect import bisect_left
from collections.abc import Mapping
from typing import TypeAlias

from bondwright.calculators.ranges import OutOfRange, finite_result, require_not_negative, require_positive

BodyTable: TypeAlias = Mapping[float, Mapping[int, float]]
"""For each touch voltage in V, the impedance in ohm that a percentile of people does not exceed: `{100: {5: 990, 50: 1725}}`."""


def body_impedance(touch_voltage_v: float, percentile: int, table: BodyTable) -> float:
    """Impedance in ohm of the body on the path of the table, which `percentile` of 100 people do not exceed.

    Between two voltages of the table impedance falls in a straight line. The true curve sags, so that it may lie a tenth lower
    between neighbouring rows and a quarter lower over a wide gap; the row above bounds it from below. Nothing is guessed
    beyond the ends of the table or between percentiles.
    Raises: OutOfRange, also if an impedance of the table is not positive and finite or rises with voltage.

    >>> body_impedance(75, 50, {50: {50: 2500}, 100: {50: 1700}})
    2100.0
    """
    require_positive(touch_voltage_v=touch_voltage_v)
    points = _impedances(percentile, table)
    if not points[0][0] <= touch_voltage_v <= points[-1][0]:
        raise OutOfRange("touch_voltage_v", touch_voltage_v, f"from {points[0][0]:g} to {points[-1][0]:g}, the ends of the table")
    place = bisect_left(points, touch_voltage_v, key=lambda point: point[0])
    right, over = points[place]
    if right == touch_voltage_v:
        return over
    left, under = points[place - 1]
    share = (touch_voltage_v - left) / (right - left)
    return under + (over - under) * share


def body_current(touch_voltage_v: float, percentile: int, table: BodyTable, path_factor: float, series_ohm: float) -> float:
    """Current in ampere that a touch voltage drives through a body, with what stands in series with it.

    Inputs: `path_factor` above 0 is the impedance of the path taken over that of the path of the table, such as a half from
    both hands to both feet; `series_ohm` >= 0 for shoes, floor or a column of water. A low percentile gives the higher
    current. The impedance is looked up at the whole voltage, of which a body with much in series bears only a part: since
    impedance falls with voltage, the current given is then too high rather than too low.
    Raises: OutOfRange.
    Source: Ohm's law, in the way in which IEC worked out touch voltages against disconnection times.

    >>> round(body_current(50, 5, {50: {5: 1450}}, 0.5, 1000), 3)
    0.029
    """
    require_positive(path_factor=path_factor)
    require_not_negative(series_ohm=series_ohm)
    whole_ohm = body_impedance(touch_voltage_v, percentile, table) * path_factor + series_ohm
    require_positive(whole_ohm=whole_ohm)
    return finite_result("current_a", touch_voltage_v / whole_ohm)


def longest_time(voltage_v: float, longest_s: Mapping[float, float]) -> float:
    """Longest time in s that a table allows a voltage to last.

    Inputs: for each voltage in V the longest time in s up to and including that voltage; times must not rise with voltage.
    Between two voltages the shorter time holds. Above the last voltage the table says nothing.
    Raises: OutOfRange.

    >>> longest_time(230, {120: 0.8, 230: 0.4, 400: 0.2})
    0.4
    """
    require_positive(voltage_v=voltage_v)
    steps = _falling(longest_s, "longest_s")
    for voltage, time in steps:
        if voltage_v <= voltage:
            return time
    raise OutOfRange("voltage_v", voltage_v, f"no more than {steps[-1][0]}, the last voltage of the table")


def _impedances(percentile: int, table: BodyTable) -> list[tuple[float, float]]:
    """(voltage, impedance) pairs of one percentile, voltages rising, impedances falling."""
    for row in table.values():
        if percentile not in row:
            raise OutOfRange("percentile", percentile, f"one of {', '.join(map(str, sorted(row)))} as in the table")
    return _falling({voltage: row[percentile] for voltage, row in table.items()}, "body_ohm")


def _falling(values: Mapping[float, float], name: str) -> list[tuple[float, float]]:
    """(voltage, value) pairs by rising voltage; the values must not rise."""
    if not values:
        raise OutOfRange("voltages in the table", 0, "one or more")
    points = sorted(values.items())
    for (voltage, value), before in zip(points, [points[0], *points], strict=False):
        require_positive(**{"voltage_v": voltage, name: value})
        if value > before[1]:
            raise OutOfRange(f"{name} at {voltage} V", value, "no more than at the voltage before")
    return points

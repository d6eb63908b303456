"""Loop, electrode and device, against figures printed in the trade.

Fuse currents are from memory, from the time-current curves of BS 7671 appendix 3, save those marked with a source.
"""

import pytest

from bondwright.calculators.disconnection import (
    electrode_limit,
    fault_current,
    greatest_loop_impedance,
    tabulated_current,
)
from bondwright.calculators.effectiveness import operating_current, resistance_limit
from bondwright.calculators.ranges import OutOfRange

REWIREABLE_A: dict[float, float] = {
    15: 43,
    20: 60,
    30: 87,
    45: 145,
    60: 205,
    100: 430,
}  # BS 3036 at 5 s; 45 A: B. Scaddan, IAEI Magazine, 25 July 2016
CARTRIDGE_GG_A: dict[float, float] = {
    6: 17,
    10: 31,
    16: 55,
    20: 79,
    25: 100,
    32: 125,
    40: 170,
    50: 220,
    63: 280,
    80: 400,
    100: 550,
}  # BS 88 at 5 s


def test_loop_of_1_15_ohm_drives_the_printed_200_ampere() -> None:
    """T. Linsley, Basic Electrical Installation Work."""
    assert fault_current(230, 1.15) == pytest.approx(200)


@pytest.mark.parametrize(
    ("electrode_ohm", "printed_a"),
    [pytest.param(200, 0.250, id="On-Site Guide, as DIYnot 108875 quotes it"), pytest.param(1667, 0.030, id="30 mA")],
)
def test_electrode_allows_the_printed_residual_current(electrode_ohm: float, printed_a: float) -> None:
    assert electrode_limit(50, printed_a) == pytest.approx(electrode_ohm, rel=0.001)


@pytest.mark.parametrize(("residual_a", "printed_ohm"), [(0.030, 1667), (0.100, 500), (0.300, 166.7), (0.500, 100)])
def test_residual_current_allows_the_printed_electrode(residual_a: float, printed_ohm: float) -> None:
    """1667 and 166.7 ohm as in `test_effectiveness_limits`; the others worked out by hand."""
    assert electrode_limit(50, residual_a) == pytest.approx(printed_ohm, rel=0.001)


@pytest.mark.parametrize(
    ("rated_a", "multiple", "voltage_factor", "printed_ohm"),
    [
        pytest.param(32, 5, 0.95, 1.37, id="type B of 32 A (from memory)"),
        pytest.param(6, 5, 0.95, 7.28, id="type B of 6 A (from memory)"),
        pytest.param(16, 20, 0.95, 0.68, id="type D of 16 A at 0.4 s, in public tables"),
        pytest.param(16, 10, 0.95, 1.37, id="type D of 16 A at 5 s, in public tables, which differ"),
        pytest.param(32, 5, 1, 1.44, id="type B of 32 A, before the voltage factor (from memory)"),
    ],
)
def test_loop_impedance_of_a_circuit_breaker_is_the_printed_one(
    rated_a: float, multiple: float, voltage_factor: float, printed_ohm: float
) -> None:
    assert greatest_loop_impedance(230, operating_current(rated_a, multiple), voltage_factor) == pytest.approx(printed_ohm, abs=0.006)


@pytest.mark.parametrize(
    ("rated_a", "table", "printed_ohm"),
    [
        pytest.param(30, REWIREABLE_A, 2.51, id="BS 3036 of 30 A"),
        pytest.param(45, REWIREABLE_A, 1.51, id="BS 3036 of 45 A"),
        pytest.param(100, REWIREABLE_A, 0.51, id="BS 3036 of 100 A"),
        pytest.param(32, CARTRIDGE_GG_A, 1.75, id="BS 88 of 32 A"),
        pytest.param(63, CARTRIDGE_GG_A, 0.78, id="BS 88 of 63 A"),
    ],
)
def test_loop_impedance_of_a_fuse_is_the_printed_one(rated_a: float, table: dict[float, float], printed_ohm: float) -> None:
    """BS 7671:2008+A3:2015 at 5 s, from memory: two columns of memory, current and impedance, that must agree."""
    assert greatest_loop_impedance(230, tabulated_current(rated_a, table), 0.95) == pytest.approx(printed_ohm, abs=0.006)


def test_rewireable_fuse_of_45_ampere_allows_the_printed_bond() -> None:
    """Scaddan prints 50 / 145 = 0.34 ohm."""
    assert resistance_limit(50, tabulated_current(45, REWIREABLE_A)) == pytest.approx(0.34, abs=0.006)


def test_printed_shock_currents_follow_from_the_printed_resistances() -> None:
    """P. Cook (IEE, 2002): 230 V across 3000, 1500, 500, 250 ohm."""
    currents = [round(fault_current(230, ohm) * 1000) for ohm in (3000, 1500, 500, 250)]

    assert currents == [77, 153, 460, 920]  # printed: 76, cut off and not rounded


def test_table_that_gives_the_rating_itself_is_refused() -> None:
    """Dividing by the rating is the mistake printed in electriciansforums 60825."""
    with pytest.raises(OutOfRange, match="above the rating"):
        tabulated_current(30, {20: 60, 30: 30})


@pytest.mark.parametrize(
    ("rated_a", "table"),
    [
        pytest.param(25, REWIREABLE_A, id="a rating that is not made"),
        pytest.param(30, {}, id="no table"),
        pytest.param(30, {20: 90, 30: 87}, id="a current that falls"),
        pytest.param(30, {30: float("inf")}, id="no current"),
        pytest.param(30, {-20: 60, 30: 87}, id="a rating below nothing"),
        pytest.param(0, REWIREABLE_A, id="no rating"),
        pytest.param(float("nan"), REWIREABLE_A, id="no number"),
    ],
)
def test_current_that_the_table_does_not_know_is_refused(rated_a: float, table: dict[float, float]) -> None:
    with pytest.raises(OutOfRange):
        tabulated_current(rated_a, table)


@pytest.mark.parametrize("wrong", [0, -1, float("nan"), float("inf")])
def test_impossible_inputs_are_refused(wrong: float) -> None:
    for answer in (fault_current, electrode_limit):
        with pytest.raises(OutOfRange):
            answer(wrong, 1)
        with pytest.raises(OutOfRange):
            answer(1, wrong)


@pytest.mark.parametrize(
    ("voltage_v", "current_a", "voltage_factor"), [(0, 160, 0.95), (230, 0, 0.95), (230, 160, 0), (230, 160, float("nan"))]
)
def test_impossible_loop_is_refused(voltage_v: float, current_a: float, voltage_factor: float) -> None:
    with pytest.raises(OutOfRange):
        greatest_loop_impedance(voltage_v, current_a, voltage_factor)

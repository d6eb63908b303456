"""Continuity readings of bonds, judged as the trade judges them.

Sources: IET EngX "Main bonding conductor resistance" and electriciansforums 71863 ("Main bondage"), both on what a main
bond should read; the resistances are IEC 60228. The uncertainty of 30 % that IEC 61557-4 allows an instrument is from
memory.
"""

import random

import pytest
from tests.outside.test_conductor_tables import COPPER, COPPER_PER_K

from bondwright.calculators.conductors import conductor_resistance_between
from bondwright.calculators.continuity import Continuity, judge_continuity
from bondwright.calculators.instruments import true_value_between
from bondwright.calculators.ranges import OutOfRange, Range

LEAST_SHARE = 17.241 / 10 / 1.83  # 10 mm² of annealed copper over the table's greatest resistance for the size
WORST_METER, LEADS_OHM = 0.30, 0.02


def main_bond(length_m: Range) -> Range:
    """Bounds in ohm of a bond of 10 mm² copper, wherever in a house it runs."""
    return conductor_resistance_between(length_m, (LEAST_SHARE * COPPER[10], COPPER[10]), (5, 30), 20, COPPER_PER_K)


def judged(measured_ohm: float, length_m: Range) -> Continuity:
    return judge_continuity(measured_ohm, main_bond(length_m), WORST_METER, LEADS_OHM)


def test_printed_reading_of_0_3_ohm_on_10_to_15_metres_is_no_sound_bond() -> None:
    assert judged(0.3, (10, 15)) == "higher_than_possible"


def test_printed_guide_of_0_05_ohm_is_what_27_metres_read() -> None:
    assert judged(0.05, (27, 27)) == "as_expected"


def test_reading_below_the_printed_guide_may_still_be_too_high_for_its_length() -> None:
    """0.05 ohm is no limit: a bond of 2 m reads 0.004 ohm, and an instrument that can tell finds the bad joint."""
    assert judge_continuity(0.045, main_bond((2, 2)), 0.05, 0.005) == "higher_than_possible"


def test_reading_above_the_printed_guide_is_as_expected_for_a_long_bond() -> None:
    assert judged(0.09, (50, 50)) == "as_expected"


def test_nothing_at_all_on_40_metres_means_that_something_else_conducts() -> None:
    assert judged(0.01, (40, 40)) == "lower_than_possible"


def test_short_bond_that_reads_nothing_is_as_expected() -> None:
    """A bond of 3 m has 5 milliohm, less than the last digit of the instrument."""
    assert judged(0.0, (3, 3)) == "as_expected"


def test_length_that_is_only_guessed_does_not_pass_for_a_fault() -> None:
    assert judged(0.12, (5, 50)) == "as_expected"


def test_smaller_conductor_than_it_is_taken_for_reads_higher_than_possible() -> None:
    """25 m of 1.5 mm² where 10 mm² is expected."""
    assert judged(25 * COPPER[1.5] / 1000, (25, 25)) == "higher_than_possible"


def test_twice_the_conductor_is_not_told_apart_by_the_worst_instrument_but_by_a_better_one() -> None:
    """Two bonds in parallel read half of 0.073 ohm."""
    halved, expected = 40 * COPPER[10] / 1000 / 2, main_bond((40, 40))

    assert judge_continuity(halved, expected, WORST_METER, LEADS_OHM) == "as_expected"
    assert judge_continuity(halved, expected, 0.02, 0.005) == "lower_than_possible"


def test_sound_bond_read_by_an_instrument_within_its_limits_is_never_called_impossible() -> None:
    """A second check that shares no formula with the first: bonds, instruments and leads drawn at random, multiplied out here.

    Copper of 97 to 103 % of the conductivity of annealed copper, 17.241 ohm·mm²/km (IEC 60028), so that 10 mm² have 1.67 to 1.83 ohm/km.
    """
    draw = random.Random(10)
    for _ in range(2000):
        length_m, celsius = draw.uniform(1, 60), draw.uniform(5, 30)
        true_ohm = length_m * draw.uniform(1.67, 1.83) / 1000 * (234.5 + celsius) / 254.5
        shown_ohm = max(0, true_ohm + draw.uniform(-LEADS_OHM, LEADS_OHM)) / draw.uniform(1 - WORST_METER, 1 + WORST_METER)

        found = judge_continuity(shown_ohm, main_bond((length_m, length_m)), WORST_METER, LEADS_OHM, 0.01)

        assert found in ("as_expected", "higher_than_expected")


def test_joint_of_a_fifth_of_an_ohm_is_always_higher_than_possible() -> None:
    draw = random.Random(11)
    for _ in range(2000):
        length_m = draw.uniform(1, 60)
        shown_ohm = (length_m * draw.uniform(1.67, 1.83) / 1000 + 0.2) * draw.uniform(0.99, 1.01)

        assert judge_continuity(shown_ohm, main_bond((length_m, length_m)), WORST_METER, LEADS_OHM, 0.01) == "higher_than_possible"


@pytest.mark.parametrize("measured_ohm", [0.5, 2.0])
def test_bounds_belong_to_what_is_expected(measured_ohm: float) -> None:
    assert judge_continuity(measured_ohm, (0.5, 2.0), 0, 0) == "as_expected"


def test_true_value_lies_as_far_off_as_the_instrument_may_be() -> None:
    assert true_value_between(1.0, 0.5, 0.25) == (0.25, 1.75)


def test_true_value_is_never_negative() -> None:
    assert true_value_between(0.01, 0.3, 0.02)[0] == 0


@pytest.mark.parametrize(
    ("measured_ohm", "expected_ohm", "relative_uncertainty", "fixed_ohm"),
    [
        (-0.01, (0.0, 1.0), 0.3, 0.02),
        (float("inf"), (0.0, 1.0), 0.3, 0.02),
        (float("nan"), (0.0, 1.0), 0.3, 0.02),
        (0.1, (1.0, 0.5), 0.3, 0.02),
        (0.1, (-1.0, 0.5), 0.3, 0.02),
        (0.1, (0.0, float("inf")), 0.3, 0.02),
        (0.1, (0.0, 1.0), -0.3, 0.02),
        (0.1, (0.0, 1.0), 0.3, -0.02),
        (1e308, (0.0, 1.0), 1.0, 0.02),
    ],
)
def test_impossible_reading_is_refused(measured_ohm: float, expected_ohm: Range, relative_uncertainty: float, fixed_ohm: float) -> None:
    with pytest.raises(OutOfRange):
        judge_continuity(measured_ohm, expected_ohm, relative_uncertainty, fixed_ohm)

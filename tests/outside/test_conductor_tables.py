"""Conductors against IEC 60228 and against what the trade prints from it.

The tables are IEC 60228, maximum resistance in ohm/km at 20 °C (copper class 2, aluminium class 1 and 2), read in four
cable makers' copies that agree.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bondwright.calculators.conductors import (
    conductor_resistance,
    conductor_resistance_between,
    copper_equivalent,
    greatest_length,
    imperial_area,
    tabulated_resistance,
)
from bondwright.calculators.ranges import OutOfRange, Range

_COPPER_SIZES = (1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120, 150, 185, 240, 300)
_COPPER_OHM = (18.1, 12.1, 7.41, 4.61, 3.08, 1.83, 1.15, 0.727, 0.524, 0.387, 0.268, 0.193, 0.153, 0.124, 0.0991, 0.0754, 0.0601)
_ALUMINIUM_SIZES = (10, 16, 25, 35, 50, 70, 95, 120, 150, 185, 240, 300)
_ALUMINIUM_OHM = (3.08, 1.91, 1.20, 0.868, 0.641, 0.443, 0.320, 0.253, 0.206, 0.164, 0.125, 0.100)
COPPER: dict[float, float] = dict(zip(_COPPER_SIZES, _COPPER_OHM, strict=True))
ALUMINIUM: dict[float, float] = dict(zip(_ALUMINIUM_SIZES, _ALUMINIUM_OHM, strict=True))
COPPER_PER_K = 0.00393  # IEC 60028, annealed copper at 20 °C
sizes = st.floats(0.01, 5000)


@pytest.mark.parametrize(("size_mm2", "printed_m"), [(6, 16), (10, 27), (16, 43)])
def test_a_twentieth_of_an_ohm_is_reached_at_the_printed_length(size_mm2: float, printed_m: float) -> None:
    """electriciansforums 71863 and IET EngX "Main bonding conductor resistance"; lengths in whole metres."""
    metres = greatest_length(0.05, COPPER[size_mm2], 20, 20, COPPER_PER_K)

    assert metres == pytest.approx(printed_m, abs=0.6)


def test_a_tenth_of_an_ohm_is_reached_by_1_mm2_at_the_printed_length() -> None:
    """Medical guidance on cable resistance, as the MHRA page prints it: 5.5 m of 1.0 mm², fed from one end."""
    assert greatest_length(0.1, COPPER[1], 20, 20, COPPER_PER_K) == pytest.approx(5.5, abs=0.05)


def test_twenty_metres_of_10_mm2_are_36_6_milliohm() -> None:
    assert conductor_resistance(20, COPPER[10], 20, 20, COPPER_PER_K) == pytest.approx(0.0366, abs=0.00005)


def test_warm_bond_reaches_a_resistance_at_a_shorter_length() -> None:
    """The printed factor back to 20 °C from 30 °C is 0.962."""
    warm, cool = (greatest_length(0.05, COPPER[10], temperature, 20, COPPER_PER_K) for temperature in (30, 20))

    assert warm / cool == pytest.approx(0.962, abs=0.002)


def test_bond_that_runs_somewhere_in_a_house_reads_between_the_printed_temperature_factors() -> None:
    lowest, highest = conductor_resistance_between((20, 20), (COPPER[10], COPPER[10]), (5, 30), 20, COPPER_PER_K)

    assert lowest == pytest.approx(0.0366 / 1.064, rel=0.005)
    assert highest == pytest.approx(0.0366 / 0.962, rel=0.005)


@pytest.mark.parametrize(
    ("length_m", "ohm_per_km", "temperature_c"),
    [
        ((2, 1), (1.7, 1.83), (5, 30)),
        ((1, 2), (1.83, 1.7), (5, 30)),
        ((1, 2), (1.7, 1.83), (30, 5)),
        ((1, 2), (1.7, 1.83), (5, float("nan"))),
    ],
)
def test_bounds_in_the_wrong_order_are_refused(length_m: Range, ohm_per_km: Range, temperature_c: Range) -> None:
    with pytest.raises(OutOfRange):
        conductor_resistance_between(length_m, ohm_per_km, temperature_c, 20, COPPER_PER_K)


@pytest.mark.parametrize(("resistance_ohm", "ohm_per_km"), [(-0.05, 1.83), (0.05, 0), (float("inf"), 1.83), (0.05, float("nan"))])
def test_length_of_an_impossible_conductor_is_refused(resistance_ohm: float, ohm_per_km: float) -> None:
    with pytest.raises(OutOfRange):
        greatest_length(resistance_ohm, ohm_per_km, 20, 20, COPPER_PER_K)


@pytest.mark.parametrize(("temperature_c", "back_to_20"), [(5, 1.064), (10, 1.042), (15, 1.020), (25, 0.980), (30, 0.962), (70, 0.833)])
def test_temperature_changes_resistance_by_the_printed_factor(temperature_c: float, back_to_20: float) -> None:
    """A cable maker's copy of IEC 60228 prints factors back to 20 °C, which round the coefficient to 0.004."""
    resistance = conductor_resistance(1000, 1, temperature_c, 20, COPPER_PER_K)

    assert resistance == pytest.approx(1 / back_to_20, rel=0.004)


@pytest.mark.parametrize(
    ("aluminium_mm2", "copper_mm2"),
    [(70, 42.7), (95, 59.4), (120, 73.8), (150, 89.4), (185, 111.9), (240, 148.7)],
)
def test_aluminium_neutral_has_the_copper_equivalent_worked_out_by_hand(aluminium_mm2: float, copper_mm2: float) -> None:
    """Worked out from the two tables by conductance, apart from this code."""
    assert copper_equivalent(aluminium_mm2, ALUMINIUM, COPPER) == pytest.approx(copper_mm2, abs=0.06)


def test_aluminium_neutral_of_240_mm2_stays_in_the_band_up_to_150_mm2_of_copper() -> None:
    assert copper_equivalent(240, ALUMINIUM, COPPER) < 150


def test_aluminium_of_16_mm2_is_just_short_of_10_mm2_of_copper() -> None:
    assert 9.5 < copper_equivalent(16, ALUMINIUM, COPPER) < 10


def test_area_alone_would_make_a_50_mm2_conductor_better_than_it_is() -> None:
    """17.241 ohm·mm²/km, the resistivity of annealed copper (IEC 60028), over the size is 11 % below the table."""
    assert tabulated_resistance(50, COPPER) > 1.1 * 17.241 / 50


def test_steel_of_48_mm2_serves_for_6_mm2_of_copper() -> None:
    """DIYnot 327120 prints eight times the copper size; steel at 138 ohm·mm²/km."""
    assert copper_equivalent(48, {1: 138}, COPPER) == pytest.approx(6, rel=0.1)


@pytest.mark.parametrize(
    ("diameter_inch", "printed_mm2"),
    [(0.029, 3.0), (0.036, 4.5), (0.044, 7.0), (0.052, 10.0), (0.064, 14.5)],
)
def test_seven_strand_imperial_size_has_its_customary_metric_area(diameter_inch: float, printed_mm2: float) -> None:
    """Customary metric areas of the old British sizes, rounded; from memory."""
    assert imperial_area(7, diameter_inch) == pytest.approx(printed_mm2, rel=0.05)


def test_imperial_size_of_7_064_is_less_than_16_mm2() -> None:
    assert imperial_area(7, 0.064) < 16


@given(st.sampled_from(sorted(COPPER)))
def test_copper_is_its_own_equivalent(size_mm2: float) -> None:
    assert copper_equivalent(size_mm2, COPPER, COPPER) == pytest.approx(size_mm2)


@given(sizes)
def test_aluminium_is_never_worth_its_own_size_in_copper(size_mm2: float) -> None:
    assert copper_equivalent(size_mm2, ALUMINIUM, COPPER) < size_mm2


@pytest.mark.parametrize("table", [{}, {-6: 3.08, 6: 1.83}, {6: 3.08, 10: 3.08}, {6: 3.08, 10: 4.0}, {6: 0.0}, {-6: 3.08}])
def test_table_that_does_not_fall_is_refused(table: dict[float, float]) -> None:
    with pytest.raises(OutOfRange):
        tabulated_resistance(6, table)


@pytest.mark.parametrize("size_mm2", [0, -1, float("nan"), float("inf")])
def test_impossible_size_is_refused(size_mm2: float) -> None:
    with pytest.raises(OutOfRange):
        copper_equivalent(size_mm2, ALUMINIUM, COPPER)


@pytest.mark.parametrize(("strands", "diameter_inch"), [(0, 0.064), (7, 0)])
def test_impossible_imperial_size_is_refused(strands: int, diameter_inch: float) -> None:
    with pytest.raises(OutOfRange):
        imperial_area(strands, diameter_inch)


@pytest.mark.parametrize(
    ("length_m", "ohm_per_km", "temperature_c"), [(-1, 1.83, 20), (1, 0, 20), (1, 1.83, -300), (1, 1.83, float("nan"))]
)
def test_impossible_conductor_is_refused(length_m: float, ohm_per_km: float, temperature_c: float) -> None:
    with pytest.raises(OutOfRange):
        conductor_resistance(length_m, ohm_per_km, temperature_c, 20, COPPER_PER_K)


def test_conductor_that_grows_better_with_heat_is_refused() -> None:
    with pytest.raises(OutOfRange):
        conductor_resistance(1, 1.83, 30, 20, -COPPER_PER_K)

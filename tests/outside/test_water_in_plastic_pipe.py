"""Water columns against measurements.

ERA measured for the IEE, with tap water from Leatherhead, one metre of plastic pipe (P. Cook, "Earth bonding / You do
not have to earth plastic pipes", 2002): 15 mm 115 kohm in the table and 100 kohm in the text; 20 mm 65 kohm; 15 mm with
a double dose of heating inhibitor at 60 °C 20.2 kohm. The bulletin states no conductivity. For a published London
analysis PHREEQC gives 472 µS/cm at 10 °C and 611 µS/cm at 20 °C.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bondwright.calculators.ranges import OutOfRange, Range
from bondwright.calculators.water import (
    column_current,
    column_resistance,
    column_resistance_between,
    conductivity_at,
    greatest_conductivity_at,
    growth_at,
    least_length,
)

LONDON_US_PER_CM = (472.0, 611.0)
WORST_LAWFUL_US_PER_CM = 2500  # indicator parameter for drinking water at 20 °C, directive 98/83/EC
INHIBITED_OHM_PER_M = 20_200

lengths = st.floats(0, 1e4)
bores = st.floats(1, 1e3)
conductivities = st.floats(1, 1e5)


def test_ratio_of_the_two_measured_pipes_is_that_of_their_areas() -> None:
    ratio = column_resistance(1, 15, 500) / column_resistance(1, 20, 500)

    assert ratio == pytest.approx(115 / 65, rel=0.01)


@pytest.mark.parametrize(("bore_mm", "measured_ohm"), [(15, 115_000), (15, 100_000), (20, 65_000)])
def test_measured_resistance_lies_in_the_span_for_london_water(bore_mm: float, measured_ohm: float) -> None:
    lowest, highest = column_resistance_between((1, 1), (bore_mm, bore_mm), LONDON_US_PER_CM)

    assert lowest <= measured_ohm <= highest


def test_worst_lawful_drinking_water_has_22_6_kohm_in_a_metre_of_15_mm() -> None:
    assert column_resistance(1, 15, WORST_LAWFUL_US_PER_CM) == pytest.approx(22_600, abs=50)


def test_inhibited_heating_water_conducts_better_than_any_lawful_drinking_water() -> None:
    assert column_resistance(1, 15, WORST_LAWFUL_US_PER_CM) > INHIBITED_OHM_PER_M


def test_two_metres_to_a_towel_rail_isolate_even_with_inhibited_water() -> None:
    """A pipe maker's leaflet asks for a bond only below 2 m; the limit of 22 kohm is that for 10 mA."""
    inhibited_us_per_cm = WORST_LAWFUL_US_PER_CM * column_resistance(1, 15, WORST_LAWFUL_US_PER_CM) / INHIBITED_OHM_PER_M

    assert column_resistance(2, 15, inhibited_us_per_cm) > 22_000


def test_short_coupling_in_hard_water_does_not_isolate() -> None:
    """Some plastic is not enough: 150 mm of 20 mm bore at 600 µS/cm is about 8 kohm, under the 22 kohm for 10 mA."""
    assert column_resistance(0.15, 20, 600) < 22_000


def test_three_metres_of_15_mm_plastic_are_some_hundreds_of_kohm() -> None:
    """Common practice; a bore of 11.7 mm in 15 mm plastic pipe is from memory."""
    lowest, highest = column_resistance_between((3, 3), (11.7, 11.7), LONDON_US_PER_CM)

    assert 300_000 < lowest < highest < 700_000


def test_three_metres_of_15_mm_plastic_let_through_about_half_a_milliampere_at_mains_voltage() -> None:
    """Common practice; so the water alone drives a small part of what a residual current device of 30 mA is rated for."""
    current = column_current(230, 3, 11.7, sum(LONDON_US_PER_CM) / 2)

    assert current == pytest.approx(0.0005, rel=0.2)
    assert current < 0.02 * 0.030


def test_current_through_a_metre_at_mains_voltage_is_the_printed_one() -> None:
    """DIYbanter 565119 reports the measurement for the IEE as 2.4 mA."""
    conductivity = 500 * column_resistance(1, 15, 500) / 100_000  # what the text's 100 kohm implies

    assert column_current(230, 1, 15, conductivity) == pytest.approx(0.0024, abs=0.00015)


@pytest.mark.parametrize(
    ("bore_mm", "conductivity", "worked_out_m"),
    [
        (12, 500, 0.12),
        (15, 500, 0.19),
        (20, 500, 0.35),
        (25, 500, 0.54),
        (12, 2500, 0.62),
        (15, 2500, 0.97),
        (20, 2500, 1.73),
        (25, 2500, 2.70),
    ],
)
def test_plastic_isolates_for_10_milliampere_from_the_length_worked_out_by_hand(
    bore_mm: float, conductivity: float, worked_out_m: float
) -> None:
    """22 kohm; worked out apart from this code."""
    assert least_length(22_000, bore_mm, conductivity) == pytest.approx(worked_out_m, abs=0.006)


@pytest.mark.parametrize(("insert_m", "bore_mm"), [pytest.param(0.1, 15, id="100 mm"), pytest.param(0.3, 25, id="300 mm")])
def test_insert_of_a_printed_length_isolates_for_30_milliampere_in_soft_water_but_not_in_the_worst(insert_m: float, bore_mm: float) -> None:
    """100 mm stands in the On-Site Guide as quoted on DIYnot, 300 mm in a distributor's guidance; the limit is 6 667 ohm."""
    assert insert_m > least_length(6667, bore_mm, 300)
    assert insert_m < least_length(6667, bore_mm, WORST_LAWFUL_US_PER_CM)


@pytest.mark.parametrize(("temperature_c", "printed"), [(5, 896), (10, 1020), (15, 1147), (20, 1278), (25, 1413), (30, 1552), (35, 1667)])
def test_calibration_solution_has_the_printed_conductivity_at_other_temperatures(temperature_c: float, printed: float) -> None:
    """A conductivity meter's manual prints the table of the standard of 1413 µS/cm at 25 °C, and 1.94 % a kelvin for it."""
    assert conductivity_at(temperature_c, 1413, 25, 0.0194) == pytest.approx(printed, rel=0.04)


@pytest.mark.parametrize(("temperature_c", "printed"), [(15, 1147), (20, 1278), (25, 1413), (30, 1552)])
def test_within_ten_kelvin_the_straight_line_is_good_to_one_per_cent(temperature_c: float, printed: float) -> None:
    """The same table."""
    assert conductivity_at(temperature_c, 1413, 25, 0.0194) == pytest.approx(printed, rel=0.01)


def test_solution_of_5_millisiemens_at_25_degrees_has_the_printed_4_at_15() -> None:
    """A groundwater logger's manual: 2 % a kelvin as a rule of thumb."""
    assert conductivity_at(15, 5000, 25, 0.02) == pytest.approx(4000)


@given(lengths, lengths, bores, bores, conductivities, conductivities, st.tuples(*[st.floats(0, 1)] * 3))
def test_every_column_between_the_bounds_has_a_resistance_between_the_results(
    length: float, longer: float, bore: float, wider: float, soft: float, hard: float, at: tuple[float, float, float]
) -> None:
    bounds = [tuple(sorted(pair)) for pair in ((length, longer), (bore, wider), (soft, hard))]
    inside = [low + (high - low) * share for (low, high), share in zip(bounds, at, strict=True)]

    lowest, highest = column_resistance_between((bounds[0][0], bounds[0][1]), (bounds[1][0], bounds[1][1]), (bounds[2][0], bounds[2][1]))

    assert lowest * (1 - 1e-9) <= column_resistance(*inside) <= highest * (1 + 1e-9)


@pytest.mark.parametrize(
    ("length_m", "bore_mm", "conductivity"),
    [
        (-1, 15, 500),
        (1, 0, 500),
        (1, -15, 500),
        (1, 15, -500),
        (1, 15, 0),
        (float("inf"), 15, 500),
        (1, float("nan"), 500),
        (1, 1e-200, 500),
        (1, 1e200, 500),
    ],
)
def test_impossible_column_is_refused(length_m: float, bore_mm: float, conductivity: float) -> None:
    with pytest.raises(OutOfRange):
        column_resistance(length_m, bore_mm, conductivity)


@pytest.mark.parametrize(
    ("length_m", "bore_mm", "conductivity"),
    [((2, 1), (15, 15), (500, 500)), ((1, 2), (20, 15), (500, 500)), ((1, 2), (15, 15), (600, 500))],
)
def test_bounds_in_the_wrong_order_are_refused(length_m: Range, bore_mm: Range, conductivity: Range) -> None:
    with pytest.raises(OutOfRange):
        column_resistance_between(length_m, bore_mm, conductivity)


@pytest.mark.parametrize(
    ("temperature_c", "conductivity", "measured_c", "coefficient"),
    [(20, 0, 25, 0.02), (20, 500, 25, -0.02), (-26, 500, 25, 0.02), (float("nan"), 500, 25, 0.02), (20, 500, float("inf"), 0.02)],
)
def test_impossible_water_is_refused(temperature_c: float, conductivity: float, measured_c: float, coefficient: float) -> None:
    with pytest.raises(OutOfRange):
        conductivity_at(temperature_c, conductivity, measured_c, coefficient)


@pytest.mark.parametrize(
    ("temperature_c", "growth"),
    [
        pytest.param(19.9, {20: 1, 30: 1.26}, id="below the table"),
        pytest.param(30.1, {20: 1, 30: 1.26}, id="above the table"),
        pytest.param(float("nan"), {20: 1, 30: 1.26}, id="no number"),
        pytest.param(25, {20: 1, 30: 0.9}, id="a ratio that falls"),
        pytest.param(25, {20: 0, 30: 1}, id="no ratio"),
        pytest.param(25, {}, id="no table"),
    ],
)
def test_growth_that_the_table_does_not_know_is_refused(temperature_c: float, growth: dict[float, float]) -> None:
    with pytest.raises(OutOfRange):
        growth_at(temperature_c, growth)


@pytest.mark.parametrize(("temperature_c", "ratio"), [(20, 1), (25, 1.13), (30, 1.26)])
def test_growth_stands_at_the_ends_of_the_table_and_half_way(temperature_c: float, ratio: float) -> None:
    assert growth_at(temperature_c, {20: 1, 30: 1.26}) == pytest.approx(ratio)


def test_conductivity_of_nothing_is_not_carried() -> None:
    with pytest.raises(OutOfRange):
        greatest_conductivity_at(30, 0, 20, {20: 1, 30: 1.26}, {20: 1, 30: 1.2})


@pytest.mark.parametrize(("voltage_v", "length_m"), [(0, 1), (230, 0), (-230, 1), (float("nan"), 1), (230, float("inf")), (230, 1e-320)])
def test_current_through_an_impossible_column_is_refused(voltage_v: float, length_m: float) -> None:
    with pytest.raises(OutOfRange):
        column_current(voltage_v, length_m, 15, 500)


@pytest.mark.parametrize("limit_ohm", [-1, float("nan"), float("inf")])
def test_length_for_an_impossible_limit_is_refused(limit_ohm: float) -> None:
    with pytest.raises(OutOfRange):
        least_length(limit_ohm, 15, 500)

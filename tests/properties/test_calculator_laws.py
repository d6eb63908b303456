"""Laws of the calculators: what rises with what, and what undoes what."""

import math
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from bondwright.calculators import conductors, continuity, disconnection, instruments, isolation, pipes, water
from bondwright.calculators.adiabatic import Metal, heating_constant, least_size
from bondwright.calculators.body import BodyTable, body_current, body_impedance, longest_time
from bondwright.calculators.ranges import OutOfRange

CLOSE = 1 + 1e-9
LONGEST_S = 5.0
COPPER: dict[float, float] = {1.5: 12.1, 2.5: 7.41, 4: 4.61, 6: 3.08, 10: 1.83, 16: 1.15, 25: 0.727, 35: 0.524, 50: 0.387}
ALUMINIUM: dict[float, float] = {10: 3.08, 16: 1.91, 25: 1.20, 35: 0.868, 50: 0.641}
METAL = Metal(3.45e-3, 234.5, 17.241e-6, 20)
BODY: BodyTable = {25: {5: 1750, 50: 3250}, 100: {5: 1200, 50: 1875}, 220: {5: 1000, 50: 1350}}
TIMES_S: dict[float, float] = {120: 0.8, 230: 0.4, 400: 0.2}

positive = st.floats(1e-3, 1e4)
sizes = st.floats(0.1, 1000)
times = st.floats(1e-3, LONGEST_S)
shares = st.floats(0, 1)
touch_voltages = st.floats(25, 220)


@given(positive, positive, times, st.floats(10, 300))
def test_larger_fault_never_takes_a_smaller_conductor(one: float, other: float, time_s: float, k: float) -> None:
    lesser, greater = sorted((one, other))

    assert least_size(lesser, time_s, k, LONGEST_S) <= least_size(greater, time_s, k, LONGEST_S)


@given(positive, times, times, st.floats(10, 300))
def test_longer_fault_never_takes_a_smaller_conductor(current_a: float, one: float, other: float, k: float) -> None:
    shorter, longer = sorted((one, other))

    assert least_size(current_a, shorter, k, LONGEST_S) <= least_size(current_a, longer, k, LONGEST_S)


@given(positive, times, st.floats(10, 300))
def test_least_size_takes_just_the_energy_of_the_fault(current_a: float, time_s: float, k: float) -> None:
    size = least_size(current_a, time_s, k, LONGEST_S)

    assert k * k * size * size == pytest.approx(current_a * current_a * time_s)


@given(positive, st.floats(0.001, LONGEST_S / 4), st.floats(10, 300))
def test_four_times_as_long_takes_twice_the_size(current_a: float, time_s: float, k: float) -> None:
    assert least_size(current_a, 4 * time_s, k, LONGEST_S) == pytest.approx(2 * least_size(current_a, time_s, k, LONGEST_S))


@given(st.floats(0, 150), st.floats(1, 150), st.floats(1, 150))
def test_heating_in_two_stages_takes_as_much_as_in_one(initial_c: float, first: float, second: float) -> None:
    """k² measures the energy, so it adds up."""
    middle, final = initial_c + first, initial_c + first + second

    in_two = heating_constant(METAL, initial_c, middle) ** 2 + heating_constant(METAL, middle, final) ** 2

    assert in_two == pytest.approx(heating_constant(METAL, initial_c, final) ** 2)


@given(sizes, sizes)
def test_larger_conductor_never_has_a_smaller_copper_equivalent(one: float, other: float) -> None:
    smaller, larger = (conductors.copper_equivalent(size, ALUMINIUM, COPPER) for size in sorted((one, other)))

    assert smaller <= larger * CLOSE


@given(sizes)
def test_there_and_back_between_two_metals_gives_the_size_again(size_mm2: float) -> None:
    there = conductors.copper_equivalent(size_mm2, ALUMINIUM, COPPER)

    assert conductors.copper_equivalent(there, COPPER, ALUMINIUM) == pytest.approx(size_mm2)


@given(st.floats(0, 1e4), st.floats(0.01, 100), st.floats(-20, 90))
def test_greatest_length_undoes_resistance(length_m: float, ohm_per_km: float, temperature_c: float) -> None:
    resistance = conductors.conductor_resistance(length_m, ohm_per_km, temperature_c, 20, 0.00393)

    assert conductors.greatest_length(resistance, ohm_per_km, temperature_c, 20, 0.00393) == pytest.approx(length_m)


@given(
    st.tuples(*[st.floats(0, 100)] * 2),
    st.tuples(*[st.floats(0.1, 20)] * 2),
    st.tuples(*[st.floats(-20, 90)] * 2),
    st.tuples(*[shares] * 3),
)
def test_conductor_between_the_bounds_has_a_resistance_between_the_results(
    lengths: tuple[float, float], tables: tuple[float, float], temperatures: tuple[float, float], at: tuple[float, float, float]
) -> None:
    bounds = [(min(pair), max(pair)) for pair in (lengths, tables, temperatures)]
    length, table, temperature = (low + (high - low) * share for (low, high), share in zip(bounds, at, strict=True))

    lowest, highest = conductors.conductor_resistance_between(bounds[0], bounds[1], bounds[2], 20, 0.00393)

    assert lowest / CLOSE <= conductors.conductor_resistance(length, table, temperature, 20, 0.00393) <= highest * CLOSE


READS_HIGHER = ("lower_than_possible", "as_expected", "higher_than_expected", "higher_than_possible")
ISOLATES_BETTER = ("below", "within_uncertainty", "at_or_above")


@given(positive, positive, positive, positive, shares, st.floats(0, 10), st.none() | st.floats(0, 10))
def test_higher_continuity_reading_is_never_judged_lower(
    one: float, other: float, bound: float, other_bound: float, share: float, fixed: float, digit: float | None
) -> None:
    expected = (min(bound, other_bound), max(bound, other_bound))

    words = [continuity.judge_continuity(measured, expected, share, fixed, digit) for measured in sorted((one, other))]
    ranks = [READS_HIGHER.index(word) for word in words]

    assert ranks == sorted(ranks)


@given(positive, positive, positive, shares, shares, st.floats(0, 10), st.floats(0, 10))
def test_worse_instrument_never_finds_a_fault_that_a_better_one_does_not(
    measured: float, bound: float, other_bound: float, share: float, other_share: float, fixed: float, other_fixed: float
) -> None:
    expected = (min(bound, other_bound), max(bound, other_bound))
    better = continuity.judge_continuity(measured, expected, min(share, other_share), min(fixed, other_fixed))
    worse = continuity.judge_continuity(measured, expected, max(share, other_share), max(fixed, other_fixed))

    assert worse in (better, "as_expected")


@given(st.floats(0, 1), st.floats(0, 1), st.floats(0, 1), st.floats(0, 1), shares)
def test_sound_bond_is_never_called_a_fault(length: float, longer: float, at: float, off: float, share: float) -> None:
    """Whatever the true value between the bounds, and however far the instrument errs within its uncertainty."""
    lowest, highest = sorted((length, longer))
    true_ohm = min(lowest + (highest - lowest) * at, highest)
    measured = true_ohm / (1 - share * (2 * off - 1)) if share < 1 else true_ohm

    assert continuity.judge_continuity(measured, (lowest, highest), share, 1e-9) == "as_expected"


@given(positive, positive, positive, shares, st.floats(0, 10))
def test_higher_isolation_reading_is_never_judged_worse(one: float, other: float, limit: float, share: float, fixed: float) -> None:
    ranks = [ISOLATES_BETTER.index(isolation.judge_isolation(measured, limit, share, fixed)) for measured in sorted((one, other))]

    assert ranks == sorted(ranks)


@given(positive, positive, shares, st.floats(0, 10))
def test_reading_is_surely_at_or_above_a_limit_only_with_its_whole_uncertainty(
    measured: float, limit: float, share: float, fixed: float
) -> None:
    lowest, highest = instruments.true_value_between(measured, share, fixed)

    judged = isolation.judge_isolation(measured, limit, share, fixed)

    assert (judged == "at_or_above") == (lowest >= limit)
    assert (judged == "below") == (highest < limit)


@given(positive, st.floats(1, 200), st.floats(10, 1e5))
def test_least_length_undoes_the_resistance_of_a_column(length_m: float, bore_mm: float, conductivity: float) -> None:
    resistance = water.column_resistance(length_m, bore_mm, conductivity)

    assert water.least_length(resistance, bore_mm, conductivity) == pytest.approx(length_m)


@given(positive, positive, st.floats(1, 200), st.floats(10, 1e5))
def test_longer_column_never_conducts_better(one: float, other: float, bore_mm: float, conductivity: float) -> None:
    shorter, longer = sorted((one, other))

    assert water.column_resistance(shorter, bore_mm, conductivity) <= water.column_resistance(longer, bore_mm, conductivity)
    assert water.column_current(230, shorter, bore_mm, conductivity) >= water.column_current(230, longer, bore_mm, conductivity)


@given(positive, st.floats(1, 200), st.floats(10, 1e5), st.floats(0, 60), st.floats(0, 60))
def test_warmer_water_never_isolates_better(length_m: float, bore_mm: float, conductivity: float, one: float, other: float) -> None:
    cool, warm = (
        water.column_resistance(length_m, bore_mm, water.conductivity_at(temperature, conductivity, 25, 0.02))
        for temperature in sorted((one, other))
    )

    assert warm <= cool


@given(positive, st.floats(1, 200), st.floats(10, 1e5))
def test_current_times_resistance_is_the_voltage(length_m: float, bore_mm: float, conductivity: float) -> None:
    current = water.column_current(230, length_m, bore_mm, conductivity)

    assert current * water.column_resistance(length_m, bore_mm, conductivity) == pytest.approx(230)


@given(st.floats(5, 500), st.floats(0.01, 0.49), st.floats(0.01, 0.49), st.floats(0.001, 2))
def test_thicker_wall_never_conducts_worse(outside_mm: float, one: float, other: float, ohm_mm2_per_m: float) -> None:
    thin, thick = (pipes.tube_resistance_per_metre(outside_mm, outside_mm * share, ohm_mm2_per_m) for share in sorted((one, other)))

    assert thick <= thin * CLOSE


@given(st.floats(5, 500), st.floats(0.01, 0.49))
def test_metal_and_bore_make_up_the_whole_circle(outside_mm: float, share: float) -> None:
    wall_mm = outside_mm * share
    bore = math.pi / 4 * (outside_mm - 2 * wall_mm) ** 2

    assert pipes.tube_area(outside_mm, wall_mm) + bore == pytest.approx(math.pi / 4 * outside_mm**2)


@given(st.floats(5, 500), st.floats(0.01, 0.49), st.floats(0.001, 2))
def test_tube_of_copper_is_worth_its_own_area_and_any_worse_metal_less(outside_mm: float, share: float, ohm_mm2_per_m: float) -> None:
    area = pipes.tube_area(outside_mm, outside_mm * share)
    worth = pipes.tube_copper_equivalent(outside_mm, outside_mm * share, ohm_mm2_per_m, 0.001)

    assert worth <= area * CLOSE
    assert pipes.tube_copper_equivalent(outside_mm, outside_mm * share, ohm_mm2_per_m, ohm_mm2_per_m) == area


@given(touch_voltages, touch_voltages, st.sampled_from([5, 50]), st.floats(0.1, 2), st.floats(0, 1e5))
def test_higher_touch_voltage_never_drives_a_smaller_current(one: float, other: float, percentile: int, path: float, series: float) -> None:
    low, high = (body_current(voltage, percentile, BODY, path, series) for voltage in sorted((one, other)))

    assert low <= high * CLOSE


@given(touch_voltages, st.floats(0.1, 2), st.floats(0, 1e5))
def test_low_percentile_of_impedance_carries_the_higher_current(voltage_v: float, path: float, series: float) -> None:
    assert body_current(voltage_v, 5, BODY, path, series) >= body_current(voltage_v, 50, BODY, path, series)


@given(touch_voltages, st.sampled_from([5, 50]))
def test_impedance_lies_between_the_rows_on_both_sides(voltage_v: float, percentile: int) -> None:
    below, above = next((low, high) for low, high in pairwise(sorted(BODY)) if low <= voltage_v <= high)

    assert BODY[above][percentile] / CLOSE <= body_impedance(voltage_v, percentile, BODY) <= BODY[below][percentile] * CLOSE


@given(st.floats(1, 400), st.floats(1, 400))
def test_higher_voltage_is_never_allowed_longer(one: float, other: float) -> None:
    low, high = sorted((one, other))

    assert longest_time(low, TIMES_S) >= longest_time(high, TIMES_S)


@given(positive, positive, shares)
def test_loop_at_its_limit_drives_just_the_operating_current(voltage_v: float, operating_a: float, factor: float) -> None:
    assume(factor > 0.1)

    loop = disconnection.greatest_loop_impedance(voltage_v, operating_a, factor)

    assert disconnection.fault_current(voltage_v * factor, loop) == pytest.approx(operating_a)


@given(st.dictionaries(st.floats(1, 1000), st.floats(1, 5000), min_size=1, max_size=5), st.data())
def test_operating_current_is_never_the_rating(table: dict[float, float], data: st.DataObject) -> None:
    rated = data.draw(st.sampled_from(sorted(table)))

    try:
        current = disconnection.tabulated_current(rated, table)
    except OutOfRange:
        return

    assert current > rated

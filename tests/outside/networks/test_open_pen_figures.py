"""A broken PEN against worked and printed figures.

"Worked" figures for 230 V were computed by ngspice, and by gnucap or by phasors written out, apart from this code.
"""

import cmath
import math
import random

import pytest

from bondwright.calculators.networks.open_pen import (
    Flat,
    Load,
    OpenPen,
    SharedRiser,
    earth_resistance_at,
    open_pen_voltages,
    resistance_of_load,
    riser_currents,
)
from bondwright.calculators.ranges import OutOfRange

U0_V = 230
SHOWER = Load(U0_V, resistance_of_load(U0_V, 4600))
THREE_PHASE = (Load(U0_V, 5), Load(U0_V, 8, -120), Load(U0_V, 20, 120))


@pytest.mark.parametrize(("earth_ohm", "worked_v"), [(1, 18.4), (5, 69.7), (20, 146.0), (100, 206.3)])
def test_terminal_with_4_6_kilowatt_on_stands_at_the_worked_voltage(earth_ohm: float, worked_v: float) -> None:
    assert open_pen_voltages(OpenPen((SHOWER,), earth_ohm, 0)).terminal_v == pytest.approx(worked_v, abs=0.05)


@pytest.mark.parametrize(
    ("earth_ohm", "kilowatts_and_volts"),
    [
        (1, {1: 4, 3: 12, 7: 27, 10: 37}),
        (2, {1: 8, 3: 23, 7: 48, 10: 63}),
        (5, {1: 20, 3: 51, 7: 92, 10: 112}),
        (10, {1: 37, 3: 83, 7: 131, 10: 150}),
        (20, {1: 63, 3: 122, 7: 167, 10: 182}),
        (50, {1: 112, 3: 170, 7: 200, 10: 208}),
        (100, {1: 150, 3: 196, 7: 214, 10: 218}),
    ],
)
def test_terminal_stands_at_the_voltages_of_the_divider_by_hand(earth_ohm: float, kilowatts_and_volts: dict[int, int]) -> None:
    """Worked by hand, in whole volts, from U0 R / (R + load), which a letter to New Scientist (17 October 1998) describes."""
    loads = {kilowatts: Load(U0_V, resistance_of_load(U0_V, 1000 * kilowatts)) for kilowatts in kilowatts_and_volts}
    found = {kilowatts: open_pen_voltages(OpenPen((load,), earth_ohm, 0)).terminal_v for kilowatts, load in loads.items()}

    assert found == pytest.approx(kilowatts_and_volts, abs=0.5)


def test_reported_180_volts_lie_in_the_range_of_poor_electrodes() -> None:
    """New Scientist, "Live wires", 1998: 180 V on a case with a broken neutral and a poor rod. No impedances are given: a range only."""
    assert 20 < earth_resistance_at(180, (SHOWER,), 0) < 100


def test_printed_96_volts_of_240_are_reached_where_the_earth_path_is_two_thirds_of_the_load() -> None:
    """tlc-direct.co.uk/Book/5.6.3 prints 96 V at 240 V; its figure with the resistances was not seen: a divider of 2 to 3 gives it."""
    assert open_pen_voltages(OpenPen((Load(240, 3),), 2, 0)).terminal_v == pytest.approx(96)


@pytest.mark.parametrize(
    ("current_a", "with_factor_ohm", "without_ohm"), [(32, 2.75, 3.14), (40, 2.20, 2.52), (60, 1.47, 1.68), (100, 0.88, 1.01)]
)
def test_70_volts_are_reached_at_the_resistance_worked_from_the_formula(
    current_a: float, with_factor_ohm: float, without_ohm: float
) -> None:
    """From memory: the formula of BS 7671 annex A722 for vehicle charging, with a voltage factor of 1.1 and without."""
    load_ohm = U0_V / current_a

    assert earth_resistance_at(70, (Load(U0_V * 1.1, load_ohm),), 0) == pytest.approx(with_factor_ohm, abs=0.006)
    assert earth_resistance_at(70, (Load(U0_V, load_ohm),), 0) == pytest.approx(without_ohm, abs=0.006)


def test_three_unlike_loads_bring_the_terminal_just_over_70_volts() -> None:
    """Worked: 5, 8 and 20 ohm with 20 ohm to earth give 70.30 V."""
    assert open_pen_voltages(OpenPen(THREE_PHASE, 20, 0)).terminal_v == pytest.approx(70.30, abs=0.005)


def test_three_equal_loads_need_no_neutral() -> None:
    equal = tuple(Load(U0_V, 11.5, angle) for angle in (0, -120, 120))

    assert open_pen_voltages(OpenPen(equal, 200, 0)).terminal_v < 1e-9


def test_neutral_current_of_60_40_and_25_ampere_is_the_phasor_sum_of_the_printed_formula() -> None:
    """The formula for unbalance of BS 7671 annex A722, as electriciansforums 105282 prints it, gives 30.41 A; figures of ours."""
    loads = tuple(Load(U0_V, U0_V / current, angle) for current, angle in ((60, 0), (40, -120), (25, 120)))

    found = open_pen_voltages(OpenPen(loads, 0, 0)).earth_current_a

    assert found == pytest.approx(math.hypot(60 - 0.5 * (40 + 25), 0.866 * (40 - 25)), rel=1e-4)
    assert found == pytest.approx(30.41, abs=0.005)


@pytest.mark.parametrize(("left_ohm", "right_ohm", "left_v", "right_v"), [(55, 110, 126.5, 253), (110 / 3, 110, 95, 285)])
def test_two_phases_in_series_share_the_printed_voltages(left_ohm: float, right_ohm: float, left_v: float, right_v: float) -> None:
    """kontrolkalemi.com topic 12005 works this at 380 V between lines, and rounds the current first."""
    loads = (Load(380 / math.sqrt(3), left_ohm), Load(380 / math.sqrt(3), right_ohm, -120))

    found = open_pen_voltages(OpenPen(loads, None, 0))

    assert found.load_v == pytest.approx((left_v, right_v), rel=0.003)
    assert found.earth_current_a < 1e-12


def test_bond_of_the_flat_without_its_pen_carries_nearly_all_its_load() -> None:
    """Worked: 9.2 kW, bonds of 0.04 ohm, two neighbours with 0.15 ohm of PEN: 39.1 A and 5.3 V."""
    load = Load(U0_V, resistance_of_load(U0_V, 9200))
    flats = (Flat("a", 0.04, None, (load,)), Flat("b", 0.04, 0.15), Flat("c", 0.04, 0.15))

    found = riser_currents(SharedRiser(flats, None, 0))

    assert found.bond_a[0] == pytest.approx(39.1, abs=0.05)
    assert found.terminal_v[0] == pytest.approx(5.3, abs=0.05)
    assert found.bond_a[1] == pytest.approx(found.bond_a[0] / 2)


def _millman(sources: list[tuple[complex, float]]) -> tuple[complex, float]:
    """Voltage and inner resistance of sources side by side, each with a resistance in series: Millman's theorem."""
    siemens = sum(1 / ohm for _, ohm in sources)
    return sum(volt / ohm for volt, ohm in sources) / siemens, 1 / siemens


@pytest.mark.parametrize("seed", range(20))
def test_riser_of_flats_on_three_lines_has_the_currents_of_millmans_theorem(seed: int) -> None:
    """A textbook's closed formula, source after source, with no equations to solve; the star point at true earth."""
    draw = random.Random(seed)
    flats, ends = [], []
    for at in range(4):
        bond, pen = draw.uniform(0.01, 0.5), None if at == 0 else draw.uniform(0.05, 1)
        loads = [Load(U0_V, draw.uniform(3, 100), draw.choice((0, -120, 120))) for _ in range(2)]
        flats.append(Flat(f"flat {at}", bond, pen, tuple(loads)))
        feeding = [(cmath.rect(load.u0_v, math.radians(load.angle_deg)), load.ohm.real) for load in loads]
        volt, inner = _millman([*feeding, *([] if pen is None else [(0j, pen)])])
        ends.append((volt, inner + bond))
    ground = draw.uniform(1, 100)
    riser, _ = _millman([*ends, (0j, ground)])

    found = riser_currents(SharedRiser(tuple(flats), ground, 0))

    assert found.riser_v == pytest.approx(abs(riser), rel=1e-9)
    assert found.bond_a == pytest.approx([abs(volt - riser) / inner for volt, inner in ends], rel=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_terminal_behind_a_broken_pen_stands_at_the_voltage_of_millmans_theorem(seed: int) -> None:
    draw = random.Random(seed)
    loads = [Load(U0_V, draw.uniform(3, 100), draw.choice((0, -120, 120))) for _ in range(3)]
    earth, star = draw.uniform(1, 100), draw.uniform(0, 20)
    feeding = [(cmath.rect(load.u0_v, math.radians(load.angle_deg)), load.ohm.real) for load in loads]
    volt, inner = _millman(feeding)

    found = open_pen_voltages(OpenPen(tuple(loads), earth, star))

    assert found.terminal_v == pytest.approx(abs(volt) * earth / (inner + earth + star), rel=1e-9)


def test_terminal_stands_at_the_limit_at_the_resistance_given_for_it() -> None:
    ohm = earth_resistance_at(70, THREE_PHASE, 3)

    assert open_pen_voltages(OpenPen(THREE_PHASE, ohm, 3)).terminal_v == pytest.approx(70)


def test_voltage_that_no_resistance_brings_about_is_refused() -> None:
    with pytest.raises(OutOfRange, match="which the terminal comes to with no path to earth"):
        earth_resistance_at(231, (SHOWER,), 0)


def test_balanced_loads_never_reach_the_limit() -> None:
    with pytest.raises(OutOfRange, match="voltage_v is 70"):
        earth_resistance_at(70, tuple(Load(U0_V, 11.5, angle) for angle in (0, -120, 120)), 0)

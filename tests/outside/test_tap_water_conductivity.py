"""Tap water's conductivity worked out from its ions by PHREEQC, and what that makes of the measured plastic pipes.

Analyses: "Brewing Waters of the World" (brewery.org, 1995), in mg/L, those whose ions balance within 1.5 %. Munich's figure
stands in a column headed CO3 and balances only as carbonate; it is entered as the bicarbonate of the same charge. None is
the water of Leatherhead with which ERA measured (see `test_water_in_plastic_pipe`); Dublin's is, like that one, water off
limestone. Acidity of pH 7.5 is assumed.
"""

from collections.abc import Callable

import pytest
from phreeqpython import PhreeqPython

from bondwright.calculators.water import column_current, column_resistance, conductivity_at

Conductivity = Callable[[str, float], float]

WATERS = {
    "Dublin": {"Ca": 118.0, "Mg": 4.0, "Na": 12.0, "HCO3": 319.0, "Cl": 19.0, "SO4": 54.0},
    "Burton": {"Ca": 295.0, "Mg": 45.0, "Na": 55.0, "HCO3": 300.0, "Cl": 25.0, "SO4": 725.0},
    "Munich": {"Ca": 75.0, "Mg": 18.0, "Na": 2.0, "HCO3": 148.0 * 61.017 / 30.005, "Cl": 2.0, "SO4": 10.0},
}
PER_K = 0.02  # of the value at 25 °C, as makers of conductivity meters advise for natural water


@pytest.fixture(scope="module")
def solver() -> PhreeqPython:
    """PHREEQC with its own database."""
    return PhreeqPython()


@pytest.fixture(scope="module")
def conductivity(solver: PhreeqPython) -> Conductivity:
    """µS/cm of a water of `WATERS` at a temperature in °C, by PHREEQC."""

    def worked_out(water: str, temperature_c: float) -> float:
        ions = WATERS[water]
        solution = solver.add_solution(
            {"units": "mg/l", "pH": 7.5, "temp": temperature_c}
            | {ion: ions[ion] for ion in ("Ca", "Mg", "Na", "Cl")}
            | {"Alkalinity": f"{ions['HCO3']} as HCO3", "S(6)": f"{ions['SO4']} as SO4"}
        )
        return float(solution.sc)

    return worked_out


def test_phreeqc_knows_the_calibration_solution(solver: PhreeqPython) -> None:
    """0.01 mol of potassium chloride in a litre has 1413 µS/cm at 25 °C; that the standard is that solution is from memory."""
    solution = solver.add_solution({"units": "mmol/kgw", "K": 10, "Cl": 10, "temp": 25})

    assert solution.sc == pytest.approx(1413, rel=0.015)


@pytest.mark.parametrize(("bore_mm", "measured_ohm"), [(15, 115_000), (15, 100_000), (20, 65_000)])
def test_hard_water_explains_the_measured_pipes(bore_mm: float, measured_ohm: float, conductivity: Conductivity) -> None:
    """ERA for the IEE, one metre; the temperature is not stated, 15 °C is assumed. The spread of waters is far wider."""
    resistance = column_resistance(1, bore_mm, conductivity("Dublin", 15))

    assert resistance == pytest.approx(measured_ohm, rel=0.25)


@pytest.mark.parametrize("water", ["Dublin", "Munich"])
def test_three_metres_of_15_mm_plastic_drive_about_half_a_milliampere(water: str, conductivity: Conductivity) -> None:
    """Common practice; a bore of 11.7 mm is from memory."""
    current = column_current(230, 3, 11.7, conductivity(water, 20))

    assert 0.0002 < current < 0.0006


def test_the_hardest_brewing_water_isolates_a_third_as_well(conductivity: Conductivity) -> None:
    """So no length of plastic isolates by itself: it is length, bore and water together."""
    ratio = column_resistance(1, 15, conductivity("Dublin", 15)) / column_resistance(1, 15, conductivity("Burton", 15))

    assert ratio == pytest.approx(2.7, abs=0.2)


@pytest.mark.parametrize("water", WATERS)
@pytest.mark.parametrize("temperature_c", [10, 15, 20, 25, 30])
def test_two_per_cent_a_kelvin_follows_phreeqc_through_a_cold_pipe(water: str, temperature_c: float, conductivity: Conductivity) -> None:
    straight = conductivity_at(temperature_c, conductivity(water, 25), 25, PER_K)

    assert straight == pytest.approx(conductivity(water, temperature_c), rel=0.02)


@pytest.mark.parametrize("water", WATERS)
def test_straight_line_falls_short_at_the_temperature_of_heating_water(water: str, conductivity: Conductivity) -> None:
    straight, true = conductivity_at(60, conductivity(water, 25), 25, PER_K), conductivity(water, 60)

    assert 0.9 * true < straight < 0.97 * true

"""Tap water's conductivity worked out from its ions by PHREEQC, and what that makes of the measured plastic pipes.

Analyses: "Brewing Waters of the World" (brewery.org, 1995), in mg/L, those whose ions balance within 1.5 %. Munich's figure
stands in a column headed CO3 and balances only as carbonate; it is entered as the bicarbonate of the same charge. None is
the water of Leatherhead with which ERA measured (see `test_water_in_plastic_pipe`); Dublin's is, like that one, water off
limestone. Acidity of pH 7.5 is assumed.
"""

from collections.abc import Callable, Mapping

import pytest
from phreeqpython import PhreeqPython
from tests.calculations.worked import pack

from bondwright.calculators.water import column_current, column_resistance, conductivity_at, greatest_conductivity_at

Conductivity = Callable[[str, float], float]

WATERS = {
    "Dublin": {"Ca": 118.0, "Mg": 4.0, "Na": 12.0, "HCO3": 319.0, "Cl": 19.0, "SO4": 54.0},
    "Burton": {"Ca": 295.0, "Mg": 45.0, "Na": 55.0, "HCO3": 300.0, "Cl": 25.0, "SO4": 725.0},
    "Munich": {"Ca": 75.0, "Mg": 18.0, "Na": 2.0, "HCO3": 148.0 * 61.017 / 30.005, "Cl": 2.0, "SO4": 10.0},
}


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


SPAN_C = (5, 7, 10, 15, 20, 23, 25, 30, 35, 40, 47, 50, 60, 70, 80, 90)
"""Rows of the table of ratios and temperatures between them."""
SALTS: dict[str, dict[str, object]] = {
    "sodium chloride": {"Na": 10, "Cl": 10},
    "potassium chloride": {"K": 10, "Cl": 10},
    "calcium chloride": {"Ca": 5, "Cl": 10},
    "sodium sulphate": {"Na": 20, "S(6)": 10},
    "sodium nitrate": {"Na": 20, "N(5)": 20},
    "sodium bicarbonate": {"Na": 10, "Alkalinity": 10},
    "soft water": {"Na": 0.5, "Ca": 0.3, "Cl": 0.5, "Alkalinity": 0.6},
}
"""Solutions in mmol a kilogram: what waters are made of, and what inhibitors add."""


def growth(which: str) -> Mapping[float, float]:
    """The ratios by temperature of the rule files, for the water that gains `most` or `least`."""
    return {at: cell.value for at, cell in pack().references["water-temperature-ratio"].column(which).items()}


def shares(by_temperature: Mapping[float, float]) -> dict[tuple[float, float], float]:
    """What is worked out over what is true, for each reading taken at the first temperature and carried to the second."""
    most, least = growth("most"), growth("least")
    return {
        (read_c, used_c): greatest_conductivity_at(used_c, read, read_c, most, least) / true
        for read_c, read in by_temperature.items()
        for used_c, true in by_temperature.items()
        if used_c != read_c
    }


@pytest.mark.parametrize("water", WATERS)
def test_water_carried_from_5_to_90_degrees_is_never_two_per_cent_below_phreeqc(water: str, conductivity: Conductivity) -> None:
    """PHREEQC shares neither table nor formula with the ratios; up or down, cold or hot."""
    found = shares({at: conductivity(water, at) for at in SPAN_C})

    assert min(found.values()) > 0.99
    assert max(found.values()) < 1.22


@pytest.mark.parametrize("salt", SALTS)
def test_salts_carried_from_5_to_90_degrees_are_never_two_per_cent_below_phreeqc(salt: str, solver: PhreeqPython) -> None:
    def worked_out(at: float) -> float:
        return float(solver.add_solution(SALTS[salt] | {"units": "mmol/kgw", "pH": 7.5, "temp": at}).sc)

    found = shares({at: worked_out(at) for at in SPAN_C})

    assert min(found.values()) > 0.99
    assert max(found.values()) < 1.35


def test_natural_water_of_the_standard_lies_between_the_two_ratios() -> None:
    """ISO 7888 as a conductivity meter's manual prints it: factors to 25 °C for natural water, 0 to 35.9 °C."""
    printed = {0: 1.918, 5: 1.643, 10: 1.428, 15: 1.256, 20: 1.116, 25: 1.000, 30: 0.903, 35: 0.822}

    found = shares({at: 1 / factor for at, factor in printed.items()})

    assert min(found.values()) > 0.999
    assert max(found.values()) < 1.08


def test_standard_solution_of_potassium_chloride_gains_least() -> None:
    """CRC Handbook, page 5-73: 0.01 molal, measured at NIST, in µS/cm; the ratios down are set by it, those up must pass it."""
    printed: dict[float, float] = {
        0: 772.92,
        5: 890.96,
        10: 1013.95,
        15: 1141.45,
        20: 1273.03,
        25: 1408.23,
        30: 1546.63,
        35: 1687.79,
        40: 1831.27,
        50: 2123.43,
    }

    found = shares(printed)

    assert min(found.values()) > 0.998
    assert all(share == pytest.approx(1, abs=0.002) for (read_c, used_c), share in found.items() if used_c < read_c)


@pytest.mark.parametrize(
    ("salt", "at_25", "at_100"), [("potassium chloride", 149.85, 407), ("sodium chloride", 126.45, 357), ("sodium sulphate", 130.1, 405)]
)
def test_limiting_conductivities_at_the_boil_lie_between_the_two_ratios(salt: str, at_25: float, at_100: float) -> None:
    """R. A. Robinson and R. H. Stokes, Electrolyte Solutions, appendix 6.2; figures from memory."""
    gained = at_100 / at_25

    assert growth("least")[100] / growth("least")[25] < gained < growth("most")[100] / growth("most")[25], salt


def test_viscosity_of_water_gives_the_ratios_of_the_water_that_gains_most() -> None:
    """An engineering table on the web prints the viscosity in mPa s; Walden's rule makes ions as fast as water is thin."""
    printed = {10: 1.308, 20: 1.002, 30: 0.7978, 40: 0.6531, 50: 0.5471, 60: 0.4658, 70: 0.4044, 80: 0.3550, 90: 0.3150, 100: 0.2822}

    assert {at: growth("most")[at] for at in printed} == pytest.approx({at: 1.002 / thick for at, thick in printed.items()}, rel=0.003)


@pytest.mark.parametrize("water", WATERS)
def test_a_straight_line_falls_short_on_both_sides_of_20_degrees(water: str, conductivity: Conductivity) -> None:
    """Why older packs, which carry along a straight line, are no longer followed: up to 13 % on the unsafe side."""
    at_20 = conductivity(water, 20)
    worst_up = conductivity_at(90, at_20, 20, 0.0222) / conductivity(water, 90)
    worst_down = conductivity_at(20, 1, 20, 0.0222) / conductivity_at(90, 1, 20, 0.0222) * conductivity(water, 90) / at_20

    assert 0.86 < worst_up < 0.93
    assert worst_down > 1

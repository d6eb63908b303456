"""The adiabatic formula against printed answers, and its constant k against the printed tables.

Printed k values: tables 43.1 and 54.2 to 54.5 of BS 7671:2018 as a trade body's pocket guide on protective conductors
prints them. The temperatures behind them, the materials' constants of IEC 60364-5-54 Annex A and the three values for bare
conductors are from memory; what supports them is that they give every printed value, and the look-up among the elements
below.
"""

import sqlite3
from contextlib import closing
from importlib.util import find_spec
from pathlib import Path

import pytest

from bondwright.calculators.adiabatic import Metal, heating_constant, least_size
from bondwright.calculators.conductors import stocked_size
from bondwright.calculators.disconnection import fault_current
from bondwright.calculators.ranges import OutOfRange
from bondwright.members import replace

COPPER = Metal(3.45e-3, 234.5, 17.241e-6, 20)
ALUMINIUM = Metal(2.5e-3, 228, 28.264e-6, 20)
STEEL = Metal(3.8e-3, 202, 138e-6, 20)
LEAD = Metal(1.45e-3, 230, 214e-6, 20)

MADE_MM2 = (1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120, 150, 185, 240, 300)


def heat_of(symbol: str) -> float:
    """Volumetric heat capacity of an element in J/(K·mm³): density times specific heat, from the mendeleev tables.

    Read from the tables themselves: importing the package leaves its database open, of which Python 3.13 warns.
    """
    package = find_spec("mendeleev")
    assert package is not None and package.origin is not None
    tables = Path(package.origin).with_name("elements.db")
    with closing(sqlite3.connect(f"file:{tables}?mode=ro", uri=True)) as connection:
        query = "SELECT density, specific_heat_capacity FROM elements WHERE symbol = ?"
        density, heat = connection.execute(query, (symbol,)).fetchone()
    return float(density * heat) * 1e-3  # g/cm³ · J/(g·K)


@pytest.mark.parametrize(
    ("metal", "initial_c", "final_c", "printed_k"),
    [
        pytest.param(COPPER, 70, 160, 115, id="43.1 and 54.3: 70 °C thermoplastic"),
        pytest.param(COPPER, 70, 140, 103, id="43.1 and 54.3: 70 °C thermoplastic above 300 mm²"),
        pytest.param(COPPER, 90, 160, 100, id="43.1 and 54.3: 90 °C thermoplastic"),
        pytest.param(COPPER, 90, 140, 86, id="43.1 and 54.3: 90 °C thermoplastic above 300 mm²"),
        pytest.param(COPPER, 90, 250, 143, id="43.1 and 54.3: 90 °C thermosetting"),
        pytest.param(COPPER, 60, 200, 141, id="43.1: 60 °C thermosetting"),
        pytest.param(COPPER, 30, 160, 143, id="54.2: separate copper, thermoplastic"),
        pytest.param(COPPER, 30, 140, 133, id="54.2: separate copper, thermoplastic above 300 mm²"),
        pytest.param(COPPER, 30, 250, 176, id="54.2: separate copper, thermosetting"),
        pytest.param(ALUMINIUM, 30, 160, 95, id="54.2: separate aluminium, thermoplastic"),
        pytest.param(ALUMINIUM, 30, 140, 88, id="54.2: separate aluminium, thermoplastic above 300 mm²"),
        pytest.param(ALUMINIUM, 30, 250, 116, id="54.2: separate aluminium, thermosetting"),
        pytest.param(STEEL, 30, 160, 52, id="54.2: separate steel, thermoplastic"),
        pytest.param(STEEL, 30, 250, 64, id="54.2: separate steel, thermosetting"),
        pytest.param(ALUMINIUM, 60, 200, 93, id="54.4: aluminium sheath, 70 °C"),
        pytest.param(ALUMINIUM, 80, 200, 85, id="54.4: aluminium sheath, 90 °C"),
        pytest.param(STEEL, 60, 200, 51, id="54.4: steel armour, 70 °C"),
        pytest.param(STEEL, 80, 200, 46, id="54.4: steel armour, 90 °C"),
        pytest.param(LEAD, 60, 200, 26, id="54.4: lead sheath, 70 °C"),
        pytest.param(LEAD, 80, 200, 23, id="54.4: lead sheath, 90 °C"),
        pytest.param(STEEL, 50, 160, 47, id="54.5: steel conduit, 70 °C thermoplastic"),
        pytest.param(STEEL, 60, 160, 44, id="54.5: steel conduit, 90 °C thermoplastic"),
        pytest.param(STEEL, 60, 250, 58, id="54.5: steel conduit, thermosetting"),
        pytest.param(COPPER, 30, 500, 228, id="54.6: bare copper (from memory)"),
        pytest.param(ALUMINIUM, 30, 300, 125, id="54.6: bare aluminium (from memory)"),
        pytest.param(STEEL, 30, 500, 82, id="54.6: bare steel (from memory)"),
    ],
)
def test_k_is_the_printed_one(metal: Metal, initial_c: float, final_c: float, printed_k: float) -> None:
    assert heating_constant(metal, initial_c, final_c) == pytest.approx(printed_k, abs=0.6)


@pytest.mark.parametrize(
    ("symbol", "metal", "share"),
    [
        pytest.param("Cu", COPPER, 0.001, id="copper"),
        pytest.param("Pb", LEAD, 0.015, id="lead"),
        pytest.param("Al", ALUMINIUM, 0.035, id="aluminium"),
        pytest.param("Fe", STEEL, 0.075, id="iron, for steel"),
    ],
)
def test_heat_capacity_is_that_of_the_element(symbol: str, metal: Metal, share: float) -> None:
    """k goes with the root, so half the difference reaches it."""
    assert heat_of(symbol) == pytest.approx(metal.heat_j_per_k_mm3, rel=share)


def test_copper_of_the_element_tables_gives_the_printed_k_too() -> None:
    metal = replace(COPPER, heat_j_per_k_mm3=heat_of("Cu"))

    assert round(heating_constant(metal, 30, 160)) == 143


def test_k_does_not_depend_on_the_temperature_at_which_resistivity_is_stated() -> None:
    at_70 = COPPER.resistivity_ohm_mm * (COPPER.beta_c + 70) / (COPPER.beta_c + 20)
    restated = replace(COPPER, resistivity_ohm_mm=at_70, reference_c=70)

    assert heating_constant(restated, 30, 160) == pytest.approx(heating_constant(COPPER, 30, 160))


@pytest.mark.parametrize(
    ("current_a", "time_s", "printed_mm2"),
    [
        pytest.param(90, 0.4, 0.49, id="T. Linsley, Basic Electrical Installation Work: 90 A"),
        pytest.param(200, 0.4, 1.10, id="T. Linsley, Basic Electrical Installation Work: 200 A"),
    ],
)
def test_least_size_is_the_printed_one(current_a: float, time_s: float, printed_mm2: float) -> None:
    assert least_size(current_a, time_s, 115, 5) == pytest.approx(printed_mm2, abs=0.006)


def test_printed_fault_asks_for_1_5_mm2() -> None:
    """T. Linsley: a loop of 1.15 ohm at 230 V, cleared in 0.4 s."""
    least = least_size(fault_current(230, 1.15), 0.4, 115, 5)

    assert stocked_size(least, MADE_MM2) == 1.5


@pytest.mark.parametrize(("size_mm2", "worked_out_a"), [(6, 384), (10, 640), (16, 1023), (25, 1599)])
def test_current_worked_out_by_hand_for_5_seconds_asks_for_just_that_bond(size_mm2: float, worked_out_a: float) -> None:
    """k of 143; worked out apart from this code."""
    assert least_size(worked_out_a, 5, 143, 5) == pytest.approx(size_mm2, rel=0.001)


@pytest.mark.parametrize(
    ("current_a", "size_mm2", "initial_c", "final_c", "k"), [(200, 1.5, 70, 160, 115), (640, 4, 30, 160, 143), (900, 6, 90, 250, 143)]
)
def test_metal_heated_in_small_steps_ends_at_the_temperature_behind_k(
    current_a: float, size_mm2: float, initial_c: float, final_c: float, k: float
) -> None:
    """A second check that shares neither formula nor table: a millimetre of copper heated step by step for the time that k allows.

    Density 8.93 g/cm³ and 0.386 J/(g·K) of copper, 17.241 nanohm·m and 0.00393/K at 20 °C (physics tables, from memory). 9 K is what
    3 % of the heat capacity and the rounding of k may come to.
    """
    allowed_s, steps, celsius = (k * size_mm2 / current_a) ** 2, 20_000, initial_c
    assert least_size(current_a, allowed_s, k, 5) == pytest.approx(size_mm2)
    for _ in range(steps):
        ohm_per_mm = 17.241e-6 * (1 + 0.00393 * (celsius - 20)) / size_mm2
        celsius += current_a**2 * ohm_per_mm * allowed_s / steps / (8.93e-3 * 0.386 * size_mm2)

    assert celsius == pytest.approx(final_c, abs=9)


def test_time_beyond_the_formula_is_refused() -> None:
    with pytest.raises(OutOfRange, match=r"time_s is 5\.1; it must be no longer than 5 s"):
        least_size(100, 5.1, 115, 5)


def test_time_at_the_end_of_the_formula_is_taken() -> None:
    assert least_size(100, 5, 115, 5) == pytest.approx(100 * 5**0.5 / 115)


@pytest.mark.parametrize(
    ("current_a", "time_s", "k", "longest_s"),
    [(0, 1, 115, 5), (100, 0, 115, 5), (100, 1, 0, 5), (100, 1, 115, 0), (float("nan"), 1, 115, 5), (100, 1, -115, 5)],
)
def test_impossible_fault_is_refused(current_a: float, time_s: float, k: float, longest_s: float) -> None:
    with pytest.raises(OutOfRange):
        least_size(current_a, time_s, k, longest_s)


@pytest.mark.parametrize(
    ("metal", "initial_c", "final_c"),
    [
        pytest.param(COPPER, 160, 160, id="no rise"),
        pytest.param(COPPER, 160, 30, id="a fall"),
        pytest.param(COPPER, -240, 30, id="below the temperature of no resistance"),
        pytest.param(COPPER, 30, float("inf"), id="no end"),
        pytest.param(replace(COPPER, heat_j_per_k_mm3=0), 30, 160, id="no heat capacity"),
        pytest.param(replace(COPPER, resistivity_ohm_mm=0), 30, 160, id="no resistivity"),
        pytest.param(replace(COPPER, beta_c=-30), 40, 160, id="no resistance at the reference"),
    ],
)
def test_impossible_heating_is_refused(metal: Metal, initial_c: float, final_c: float) -> None:
    with pytest.raises(OutOfRange):
        heating_constant(metal, initial_c, final_c)


@pytest.mark.parametrize(("size_mm2", "sizes"), [(301, MADE_MM2), (0, MADE_MM2), (1, ()), (1, (0, 1))])
def test_size_that_is_not_made_is_refused(size_mm2: float, sizes: tuple[float, ...]) -> None:
    with pytest.raises(OutOfRange):
        stocked_size(size_mm2, sizes)

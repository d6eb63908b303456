"""Resistance of conductors against what is printed.

The resistances are IEC 60228 as four cable makers print it; other sources stand beside the figures.
"""

from typing import Any

import pytest
from tests.calculations.changed import with_cell, worked_by_rules
from tests.calculations.test_main_bond import assert_last_step_gives_the_result, out_of_range
from tests.calculations.worked import result, worked

from bondwright.calculations.answer import CalculationAnswer
from bondwright.errors import Contradiction

RESISTANCE, LENGTH, READING = "conductor-resistance", "greatest-length", "continuity-reading"
IN_A_HOUSE = {"lowest_temperature_c": 5, "highest_temperature_c": 30}
COPPER_10 = ("copper", "class_2", 10)


@pytest.mark.parametrize(
    ("metal", "conductor_class", "size_mm2", "printed_ohm_per_km"),
    [
        ("copper", "class_1", 2.5, 7.41),
        ("copper", "class_2", 10, 1.83),
        ("copper", "class_2", 50, 0.387),
        ("copper", "class_5", 10, 1.91),
        ("copper", "class_5", 50, 0.386),  # below class 2, and printed so
        ("aluminium", "class_1", 16, 1.91),
        ("aluminium", "class_2", 240, 0.125),
    ],
)
def test_kilometre_has_the_printed_resistance(metal: str, conductor_class: str, size_mm2: float, printed_ohm_per_km: float) -> None:
    answer = worked(RESISTANCE, metal=metal, conductor_class=conductor_class, size_mm2=size_mm2, length_m=1000)

    assert result(answer, "resistance") == printed_ohm_per_km


@pytest.mark.parametrize("conductor_class", ["class_1", "class_2", "class_5"])
@pytest.mark.parametrize("size_mm2", [1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120, 150, 185, 240, 300])
def test_no_size_has_less_resistance_than_its_copper_nor_a_seventh_more(conductor_class: str, size_mm2: float) -> None:
    """A second source beside the table: 17.241 ohm·mm²/km of annealed copper (IEC 60028) over the nominal size."""
    answer = worked(RESISTANCE, conductor_class=conductor_class, size_mm2=size_mm2, length_m=1000)

    assert 17.241 / size_mm2 < result(answer, "resistance") < 17.241 / size_mm2 * 7 / 6


def test_20_metres_of_10_mm2_are_36_6_milliohm() -> None:
    """Worked out by hand."""
    answer = worked(RESISTANCE, size_mm2=10, length_m=20)

    assert [(one.name, one.value, one.unit) for one in answer.results] == [("resistance", 0.0366, "ohm")]


@pytest.mark.parametrize(("temperature_c", "back_to_20"), [(5, 1.064), (10, 1.042), (15, 1.020), (25, 0.980), (30, 0.962), (70, 0.833)])
def test_temperature_changes_resistance_by_the_printed_factor(temperature_c: float, back_to_20: float) -> None:
    """A cable maker's copy of IEC 60228 prints factors back to 20 °C, which round the coefficient to 0.004."""
    warm = result(worked(RESISTANCE, size_mm2=10, length_m=1000, temperature_c=temperature_c), "resistance")

    assert warm == pytest.approx(1.83 / back_to_20, rel=0.004)


def test_no_length_has_no_resistance() -> None:
    assert result(worked(RESISTANCE, size_mm2=10, length_m=0), "resistance") == 0


@pytest.mark.parametrize(
    ("size_mm2", "limit_ohm", "printed_m"),
    [
        (6, 0.05, 16),  # electriciansforums 71863, in whole metres
        (10, 0.05, 27),
        (16, 0.05, 43),
        (1, 0.1, 5.5),  # medical guidance on cable resistance, as the MHRA page prints it
    ],
)
def test_limit_is_reached_at_the_printed_length(size_mm2: float, limit_ohm: float, printed_m: float) -> None:
    answer = worked(LENGTH, size_mm2=size_mm2, resistance_limit_ohm=limit_ohm)

    assert result(answer, "greatest_length") == pytest.approx(printed_m, abs=0.6)
    assert [one.unit for one in answer.results] == ["m"]


@pytest.mark.parametrize("temperature_c", [-20, 20, 70])
def test_greatest_length_has_just_that_resistance(temperature_c: float) -> None:
    longest = result(worked(LENGTH, size_mm2=10, resistance_limit_ohm=0.05, temperature_c=temperature_c), "greatest_length")

    assert result(worked(RESISTANCE, size_mm2=10, length_m=longest, temperature_c=temperature_c), "resistance") == pytest.approx(0.05)


@pytest.mark.parametrize("answer", [worked(RESISTANCE, size_mm2=10, length_m=20), worked(LENGTH, size_mm2=10, resistance_limit_ohm=0.05)])
def test_last_step_gives_the_result(answer: CalculationAnswer) -> None:
    assert_last_step_gives_the_result(answer)


@pytest.mark.parametrize(
    ("inputs", "place", "way_out"),
    [
        ({"size_mm2": 11}, "/size_mm2", "10, 16"),
        ({"size_mm2": 6, "metal": "aluminium"}, "/size_mm2", "there are 10, 16"),
        ({"size_mm2": 10, "metal": "aluminium", "conductor_class": "class_5"}, "/conductor_class", "class_1, class_2"),
    ],
)
def test_conductor_that_no_table_has_is_refused_with_those_that_one_has(inputs: dict[str, Any], place: str, way_out: str) -> None:
    with pytest.raises(Contradiction) as caught:
        worked(RESISTANCE, length_m=10, **inputs)

    ((pointer, detail),) = [(fault.pointer, fault.detail) for fault in caught.value.faults]
    assert pointer == place
    assert way_out in detail


@pytest.mark.parametrize(
    ("calculation", "inputs", "place"),
    [
        (RESISTANCE, {"size_mm2": 10, "length_m": -1}, "/length_m"),
        (RESISTANCE, {"size_mm2": 10, "length_m": 1, "temperature_c": -300}, "/temperature_c"),
        (RESISTANCE, {"size_mm2": 10, "length_m": 1, "metal": "steel"}, "/metal"),
        (LENGTH, {"size_mm2": 10, "resistance_limit_ohm": -0.05}, "/resistance_limit_ohm"),
        (READING, {"size_mm2": 10, "length_m": 1, "measured_ohm": -1, **IN_A_HOUSE}, "/measured_ohm"),
        (READING, {"size_mm2": 10, "length_m": 1, "lowest_temperature_c": 5}, "/highest_temperature_c"),
    ],
)
def test_input_out_of_range_is_refused_at_its_place(calculation: str, inputs: dict[str, Any], place: str) -> None:
    assert out_of_range(calculation, **inputs) == [place]


def test_cell_of_the_pack_decides_resistance_and_length() -> None:
    doubled = with_cell(RESISTANCE, *COPPER_10, value=3.66)
    coefficient = with_cell("temperature-coefficient", "copper", value=0.005)

    assert result(worked_by_rules(doubled, RESISTANCE, size_mm2=10, length_m=20), "resistance") == pytest.approx(0.0732)
    assert result(worked_by_rules(doubled, LENGTH, size_mm2=10, resistance_limit_ohm=0.0366), "greatest_length") == pytest.approx(10)
    warm = worked_by_rules(coefficient, RESISTANCE, size_mm2=10, length_m=1000, temperature_c=40)
    assert result(warm, "resistance") == pytest.approx(2.013)

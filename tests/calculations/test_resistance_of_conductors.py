"""Resistance of conductors and readings of bonds against what is printed.

The resistances are IEC 60228 as four cable makers print it; other sources stand beside the figures.
"""

from typing import Any

import pytest
from tests.calculations.changed import with_cell, with_value, worked_by_rules
from tests.calculations.test_main_bond import assert_last_step_gives_the_result, out_of_range, refused, used
from tests.calculations.worked import judged, pack, result, worked

from bondwright.calculations.answer import CalculationAnswer
from bondwright.errors import Contradiction

RESISTANCE, LENGTH, READING = "conductor-resistance", "greatest-length", "continuity-reading"
IN_A_HOUSE = {"lowest_temperature_c": 5, "highest_temperature_c": 30}
COPPER_10 = ("copper", "class_2", 10)


def bond(measured_ohm: float | None, length_m: float, **more: Any) -> CalculationAnswer:
    """A bond of 10 mm² copper, wherever in a house it runs."""
    told = {} if measured_ohm is None else {"measured_ohm": measured_ohm}
    return worked(READING, size_mm2=10, length_m=length_m, **told, **IN_A_HOUSE, **more)


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


def test_printed_reading_of_0_3_ohm_on_10_to_15_metres_is_no_sound_bond() -> None:
    """IET EngX "Main bonding conductor resistance"."""
    assert judged(bond(0.3, 10, longest_m=15), "reading") == "higher_than_expected"


def test_printed_guide_of_0_05_ohm_is_what_27_metres_read() -> None:
    """electriciansforums 71863; 0.0494 ohm at 20 °C."""
    answer = bond(0.05, 27)

    assert judged(answer, "reading") == "as_expected"
    assert result(answer, "least_expected") < 27 * 1.83e-3 < result(answer, "greatest_expected")


def test_nothing_at_all_on_60_metres_means_that_something_else_conducts() -> None:
    """Sound, 60 m have at least 0.09 ohm; with the pack's allowance of 0.05 ohm nothing shorter can be told apart."""
    assert judged(bond(0.0, 60), "reading") == "lower_than_possible"


def test_short_bond_that_reads_nothing_is_as_expected() -> None:
    assert judged(bond(0.0, 3), "reading") == "as_expected"


def test_length_that_is_only_guessed_does_not_pass_for_a_fault() -> None:
    assert judged(bond(0.3, 5), "reading") == "higher_than_expected"
    assert judged(bond(0.3, 5, longest_m=90), "reading") == "as_expected"


def test_bounds_of_a_sound_bond_are_those_worked_out_by_hand() -> None:
    """15 m at 1.83 ohm/km: at 30 °C 3.93 % more; at 5 °C 5.895 % less, and 12 % less than the table has."""
    answer = bond(None, 10, longest_m=15)

    assert result(answer, "greatest_expected") == pytest.approx(0.015 * 1.83 * 1.0393)
    assert result(answer, "least_expected") == pytest.approx(0.010 * 1.83 * 0.88 * 0.94105)
    assert answer.judgements == ()


def test_instrument_is_cited_only_where_there_is_a_reading() -> None:
    assert "reading_uncertainty" not in used(bond(None, 10))
    assert "reading_uncertainty" in used(bond(0.02, 10))


@pytest.mark.parametrize(
    ("measured_ohm", "bounds"),
    [(0.5, (0.3, 0.7)), (0.0, (0.0, 0.05))],  # 30 % of the reading and 0.05 ohm, by hand
)
def test_what_may_be_behind_the_reading_is_told(measured_ohm: float, bounds: tuple[float, float]) -> None:
    answer = bond(measured_ohm, 10)

    assert (result(answer, "least_true_value"), result(answer, "greatest_true_value")) == bounds


@pytest.mark.parametrize("answer", [worked(RESISTANCE, size_mm2=10, length_m=20), worked(LENGTH, size_mm2=10, resistance_limit_ohm=0.05)])
def test_last_step_gives_the_result(answer: CalculationAnswer) -> None:
    assert_last_step_gives_the_result(answer)


def test_every_bound_of_a_reading_has_a_step_that_gives_it() -> None:
    answer = bond(0.02, 10)

    assert set(answer.results) <= {one.gives for one in answer.working}
    assert {one.unit for one in answer.results} == {"ohm"}


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


def test_bounds_in_the_wrong_order_are_refused() -> None:
    assert refused(READING, size_mm2=10, length_m=15, longest_m=10, **IN_A_HOUSE) == ["/longest_m"]
    assert refused(READING, size_mm2=10, length_m=15, lowest_temperature_c=30, highest_temperature_c=5) == ["/highest_temperature_c"]


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


def test_values_of_the_pack_decide_what_a_reading_means() -> None:
    inputs = {"size_mm2": 10, "length_m": 10, "measured_ohm": 0.05, **IN_A_HOUSE}

    assert judged(worked(READING, **inputs), "reading") == "as_expected"
    assert judged(worked_by_rules(with_value("continuity_allowance", 0.01), READING, **inputs), "reading") == "higher_than_expected"
    spread = worked_by_rules(with_cell("resistance-spread", value=0.5), READING, **inputs)
    assert result(spread, "least_expected") == pytest.approx(0.010 * 1.83 * 0.5 * 0.94105)
    sharp = with_value("reading_uncertainty", 0.0)
    assert result(worked_by_rules(sharp, READING, **inputs), "greatest_true_value") == pytest.approx(
        0.05 + pack().number("continuity_allowance")
    )

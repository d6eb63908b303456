"""Readings of bonds against what is printed, and against bounds worked out by hand.

The resistances are IEC 60228 as four cable makers print it; uncertainty and last digit of the instrument are from memory, the
allowance for leads and contacts is common practice. Other sources stand beside the figures.
"""

from typing import Any

import pytest
from tests.calculations.changed import with_cell, with_value, worked_by, worked_by_rules
from tests.calculations.test_main_bond import refused, used
from tests.calculations.worked import judged, pack, result, worked
from tests.rules.revisions import published

from bondwright.calculations.answer import CalculationAnswer

RESISTANCE, LENGTH, READING = "conductor-resistance", "greatest-length", "continuity-reading"
IN_A_HOUSE = {"lowest_temperature_c": 5, "highest_temperature_c": 30}
COPPER_10 = ("copper", "class_2", 10)


def bond(measured_ohm: float | None, length_m: float, **more: Any) -> CalculationAnswer:
    """A bond of 10 mm² copper, wherever in a house it runs."""
    told = {} if measured_ohm is None else {"measured_ohm": measured_ohm}
    return worked(READING, size_mm2=10, length_m=length_m, **told, **IN_A_HOUSE, **more)


def test_printed_reading_of_0_3_ohm_on_10_to_15_metres_is_no_sound_bond() -> None:
    """IET EngX "Main bonding conductor resistance"."""
    assert judged(bond(0.3, 10, longest_m=15), "reading") == "higher_than_possible"


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
    assert judged(bond(0.17, 5), "reading") == "higher_than_possible"
    assert judged(bond(0.17, 5, longest_m=90), "reading") == "as_expected"


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


def test_every_bound_of_a_reading_has_a_step_that_gives_it() -> None:
    answer = bond(0.02, 10)

    assert set(answer.results) <= {one.gives for one in answer.working}
    assert {one.unit for one in answer.results} == {"ohm"}


def test_bounds_in_the_wrong_order_are_refused() -> None:
    assert refused(READING, size_mm2=10, length_m=15, longest_m=10, **IN_A_HOUSE) == ["/longest_m"]
    assert refused(READING, size_mm2=10, length_m=15, lowest_temperature_c=30, highest_temperature_c=5) == ["/highest_temperature_c"]


def test_values_of_the_pack_decide_what_a_reading_means() -> None:
    inputs = {"size_mm2": 10, "length_m": 10, "measured_ohm": 0.05, **IN_A_HOUSE}

    assert judged(worked(READING, **inputs), "reading") == "higher_than_expected"
    assert judged(worked_by_rules(with_value("continuity_allowance", 0.01), READING, **inputs), "reading") == "higher_than_possible"
    assert judged(worked_by_rules(with_value("continuity_last_digit", 0.04), READING, **inputs), "reading") == "as_expected"
    spread = worked_by_rules(with_cell("resistance-spread", "class_2", value=0.5), READING, **inputs)
    assert result(spread, "least_expected") == pytest.approx(0.010 * 1.83 * 0.5 * 0.94105)
    sharp = with_value("reading_uncertainty", 0.0)
    assert result(worked_by_rules(sharp, READING, **inputs), "greatest_true_value") == pytest.approx(
        0.05 + pack().number("continuity_allowance")
    )


@pytest.mark.parametrize(
    ("measured_ohm", "word"),
    # 15 m of 10 mm² from 5 to 30 °C: 0.0227 to 0.0285 ohm. With the last digit 0.0385; (0.0285 + 0.05) / 0.7 = 0.1122.
    [
        (0.0, "as_expected"),
        (0.02, "as_expected"),
        (0.0285, "as_expected"),
        (0.0385, "as_expected"),
        (0.0386, "higher_than_expected"),
        (0.04, "higher_than_expected"),
        (0.11, "higher_than_expected"),
        (0.112, "higher_than_expected"),
        (0.113, "higher_than_possible"),
        (0.3, "higher_than_possible"),
    ],
)
def test_reading_has_the_level_worked_out_by_hand(measured_ohm: float, word: str) -> None:
    assert judged(bond(measured_ohm, 15), "reading") == word


@pytest.mark.parametrize(("measured_ohm", "word"), [(0.0, "lower_than_possible"), (0.031, "lower_than_possible"), (0.033, "as_expected")])
def test_reading_on_60_metres_is_too_low_as_far_as_the_instrument_can_tell(measured_ohm: float, word: str) -> None:
    """60 m have at least 0.0909 ohm; (0.0909 - 0.05) / 1.3 = 0.0315."""
    assert judged(bond(measured_ohm, 60), "reading") == word


def test_end_that_is_told_is_as_expected_itself() -> None:
    end = result(bond(0.02, 13.7), "as_expected_up_to")

    assert judged(bond(end, 13.7), "reading") == "as_expected"
    assert judged(bond(end + 1e-9, 13.7), "reading") == "higher_than_expected"


def test_what_instrument_and_contacts_may_add_is_a_result() -> None:
    """30 % of 0.1 ohm and 0.05 ohm."""
    assert result(bond(0.1, 15), "instrument_allowance") == pytest.approx(0.08)


def test_higher_than_expected_says_what_to_do() -> None:
    (judgement,) = bond(0.11, 15).judgements

    assert all(word in judgement.words.lower() for word in ("null the leads", "clean the contacts", "read again"))


@pytest.mark.parametrize(("measured_ohm", "word"), [(0.0386, "as_expected"), (0.11, "as_expected"), (0.113, "higher_than_possible")])
def test_pack_that_tells_no_last_digit_leaves_it_to_the_instrument(measured_ohm: float, word: str) -> None:
    older = published("bs7671-2018-a4-r4")

    answer = worked_by(older, READING, size_mm2=10, length_m=15, measured_ohm=measured_ohm, **IN_A_HOUSE)

    assert judged(answer, "reading") == word


@pytest.mark.parametrize(("conductor_class", "least_ohm"), [("class_1", 1.6104), ("class_2", 1.6104), ("class_5", 1.6426)])
def test_each_class_has_its_own_least_resistance(conductor_class: str, least_ohm: float) -> None:
    """A kilometre at 20 °C, by hand: 1.83 less 12 %, and 1.91 less 14 %."""
    at_20 = {"lowest_temperature_c": 20, "highest_temperature_c": 20}

    answer = worked(READING, size_mm2=10, length_m=1000, conductor_class=conductor_class, **at_20)

    assert result(answer, "least_expected") == pytest.approx(least_ohm)

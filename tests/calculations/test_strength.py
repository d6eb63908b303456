"""Least sizes for strength and of which metal, beside what the heat of a fault asks for.

The book itself was not read: 543.1.1 is that of a trade body's pocket guide, 543.2.4 is from memory.
"""

from typing import Any

import pytest
from tests.calculations.changed import with_value, worked_by
from tests.calculations.test_main_bond import assert_last_step_gives_the_result
from tests.calculations.worked import result, worked

from bondwright.calculations.answer import CalculationAnswer

HEATING = "protective-conductor-heating"
FAULT: dict[str, Any] = {"fault_current_a": 200, "time_s": 0.4, "arrangement": "in_cable", "insulation": "thermoplastic_70"}


def separate(**inputs: Any) -> CalculationAnswer:
    """A separate conductor that a fault of 100 A heats for a second; of copper the heat asks for 0.7 mm²."""
    return worked(HEATING, **{"fault_current_a": 100, "time_s": 1, "arrangement": "separate", "insulation": "thermoplastic_70", **inputs})


@pytest.mark.parametrize(
    ("laid", "strength_mm2"),
    [
        ({}, 4),  # what is left out is the worse
        ({"protected_mechanically": "no"}, 4),
        ({"protected_mechanically": "yes"}, 2.5),
        ({"inside_enclosure": "yes"}, None),
        ({"arrangement": "in_cable"}, None),
        ({"arrangement": "bare_in_normal_use", "insulation": "bare"}, 4),
        ({"arrangement": "bare_in_sight", "insulation": "bare", "protected_mechanically": "yes"}, 2.5),
        ({"arrangement": "live_conductor"}, None),
    ],
)
def test_conductor_on_its_own_is_not_below_the_printed_size(laid: dict[str, str], strength_mm2: float | None) -> None:
    """A trade body's pocket guide on 543.1.1: 2.5 mm² with protection against mechanical damage, 4 mm² without."""
    answer = separate(**laid)

    assert {one.name: one.value for one in answer.results}.get("least_for_strength") == strength_mm2
    assert result(answer, "stocked_size") == (strength_mm2 or 1)
    assert_last_step_gives_the_result(answer)


@pytest.mark.parametrize(
    ("protected", "current_a", "made_mm2"),
    # k of 143 for one second, by hand: 2.5 mm² take 357.5 A, 4 mm² 572 A.
    [("yes", 357, 2.5), ("yes", 358, 4), ("no", 357, 4), ("no", 571, 4), ("no", 573, 6)],
)
def test_heat_decides_where_it_asks_for_more_than_strength(protected: str, current_a: float, made_mm2: float) -> None:
    assert result(separate(fault_current_a=current_a, protected_mechanically=protected), "stocked_size") == made_mm2


@pytest.mark.parametrize(
    ("current_a", "made_mm2", "told"),
    [(100, 16, True), (950, 16, True), (951, 16, False), (1519, 16, False), (1521, 25, False)],  # k of 95: 10 mm² take 950 A
)
def test_aluminium_of_10_mm2_and_less_is_no_protective_conductor(current_a: float, made_mm2: float, told: bool) -> None:
    """543.2.4, from memory."""
    answer = separate(metal="aluminium", fault_current_a=current_a)

    assert result(answer, "stocked_size") == made_mm2
    assert [one.word for one in answer.judgements] == (["copper_up_to_this_size"] if told else [])
    assert_last_step_gives_the_result(answer)


def test_message_about_aluminium_names_the_size_to_take() -> None:
    (judgement,) = separate(metal="aluminium").judgements

    assert judgement.words == "a protective conductor of 10 mm² and less is of copper; take 16 mm² of aluminium, or copper"


def test_copper_only_holds_for_a_core_and_not_for_armour_or_conduit() -> None:
    """543.2.4 speaks of conductors, not of what a cable or its enclosure is made of; from memory."""
    assert result(separate(metal="aluminium", arrangement="in_cable"), "stocked_size") == 16
    assert separate(metal="steel", arrangement="sheath_or_armour").judgements == ()
    assert separate(metal="steel", arrangement="conduit").judgements == ()


@pytest.mark.parametrize(("protected", "least_mm2"), [("yes", 20), ("no", 32)])
def test_steel_on_its_own_has_eight_times_the_size_of_copper(protected: str, least_mm2: float) -> None:
    """2.5 and 4 mm² of copper, and the eight times of DIYnot 327120."""
    answer = separate(metal="steel", protected_mechanically=protected)

    assert answer.results[0].name == "size_for_heat_and_strength"
    assert (answer.results[0].value, answer.judgements) == (least_mm2, ())
    assert_last_step_gives_the_result(answer)


def test_steel_inside_an_enclosure_that_comes_to_10_mm2_and_less_is_not_taken_for_one() -> None:
    """k of 52: 100 A ask for 1.9 mm² of steel."""
    (judgement,) = separate(metal="steel", inside_enclosure="yes").judgements

    assert "take more than that of steel" in judgement.words


def test_values_of_the_pack_decide_strength_and_copper() -> None:
    four = with_value("separate_least_unprotected", 6)
    ten = with_value("copper_alone_up_to", 16)
    inputs = {**FAULT, "arrangement": "separate"}

    assert result(worked_by(four, HEATING, **inputs), "stocked_size") == 6
    assert result(worked_by(ten, HEATING, **inputs, metal="aluminium"), "stocked_size") == 25

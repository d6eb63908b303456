"""Readings as instruments show them, judged by calculations: a number, more than one, or less than one.

Insulation testers show `>999 MΩ` or the like when the reading is beyond their range, low-resistance testers `<0.01 ohm` below it
(common practice; two makers' ranges are 999 Mohm and 0.01 ohm). Such a bound decides only what every reading within it would decide,
which is drawn out here by plain trial.
"""

import random
from typing import Any

import pytest
from tests.calculations.worked import judged, result, worked

from bondwright.calculations.answer import CalculationAnswer
from bondwright.calculations.catalogue import CALCULATIONS
from bondwright.errors import Refused

UNDECIDED = "bound_decides_nothing"
IN_A_HOUSE = {"lowest_temperature_c": 5, "highest_temperature_c": 30}
JUDGING: dict[str, dict[str, Any]] = {
    "isolation-reading": {},
    "continuity-reading": {"size_mm2": 10, "length_m": 60, **IN_A_HOUSE},
    "resistance-limit": {"operating_current_a": 160},
    "electrode-limit": {"residual_current_a": 0.03},
}


def read(calculation: str, reading: float | str, **more: Any) -> CalculationAnswer:
    """The answer of a calculation to a reading."""
    return worked(calculation, **{**JUDGING[calculation], **more}, measured_ohm=reading)


@pytest.mark.parametrize("calculation", JUDGING)
@pytest.mark.parametrize(
    ("text", "ohm"),
    [("0.05 ohm", 0.05), ("50 mohm", 0.05), ("50 mΩ", 0.05), ("150 kohm", 150_000), ("150 kΩ", 150_000), ("2 MΩ", 2e6), ("0.5 Gohm", 5e8)],
)
def test_a_reading_in_text_is_the_same_as_its_number(calculation: str, text: str, ohm: float) -> None:
    assert read(calculation, text) == read(calculation, ohm)


@pytest.mark.parametrize(
    ("calculation", "reading", "word"),
    [
        pytest.param("isolation-reading", ">999 MΩ", "at_or_above", id="beyond the range of an insulation tester"),
        pytest.param("isolation-reading", ">32 kohm", "at_or_above", id="22 kohm over 0.7 is 31.4 kohm"),
        pytest.param("isolation-reading", ">31 kohm", UNDECIDED, id="30 % off 31 kohm is 21.7 kohm"),
        pytest.param("isolation-reading", ">2 kohm", UNDECIDED, id="beyond the range of a continuity tester"),
        pytest.param("isolation-reading", "<0.01 ohm", "below", id="a dead short"),
        pytest.param("isolation-reading", "<16 kohm", "below", id="30 % on 16 kohm is 20.8 kohm"),
        pytest.param("isolation-reading", "<17 kohm", UNDECIDED, id="30 % on 17 kohm is 22.1 kohm"),
        pytest.param("isolation-reading", "<1 Mohm", UNDECIDED, id="no use of a lowest range of 1 Mohm"),
        pytest.param("resistance-limit", "<0.01 ohm", "at_or_below", id="50 V over 160 A is 0.3125 ohm"),
        pytest.param("resistance-limit", "<0.24 ohm", "at_or_below", id="30 % on 0.24 ohm is 0.312 ohm"),
        pytest.param("resistance-limit", "<0.25 ohm", UNDECIDED, id="30 % on 0.25 ohm is 0.325 ohm"),
        pytest.param("resistance-limit", ">0.45 ohm", "above", id="30 % off 0.45 ohm is 0.315 ohm"),
        pytest.param("resistance-limit", ">0.44 ohm", UNDECIDED, id="30 % off 0.44 ohm is 0.308 ohm"),
        pytest.param("electrode-limit", ">2 kohm", UNDECIDED, id="30 % off 2 kohm is below 1667 ohm"),
        pytest.param("electrode-limit", ">2.5 kohm", "above", id="30 % off 2.5 kohm is 1750 ohm"),
        pytest.param("electrode-limit", "<20 ohm", "at_or_below", id="20 ohm is far below 1667 ohm"),
        pytest.param("continuity-reading", ">20 ohm", "higher", id="an open bond"),
        pytest.param("continuity-reading", ">0.01 ohm", UNDECIDED, id="may be 0.11 ohm as well as 20 ohm"),
    ],
)
def test_a_bound_is_judged_only_where_it_decides(calculation: str, reading: str, word: str) -> None:
    """By hand, with the 30 % of the pack."""
    assert judged(read(calculation, reading), "reading").startswith(word)


@pytest.mark.parametrize("calculation", JUDGING)
@pytest.mark.parametrize("sign", ["<", ">"])
def test_a_bound_decides_just_what_every_number_within_it_decides(calculation: str, sign: str) -> None:
    drawn = random.Random(18)
    for _ in range(12):
        bound = round(10 ** drawn.uniform(-3, 5), 4)
        within = [bound * 10 ** (drawn.uniform(0, 3) * (1 if sign == ">" else -1)) for _ in range(15)]
        within += [0.0] if sign == "<" else [1e9]
        words = {judged(read(calculation, min(ohm, 1e9)), "reading") for ohm in (bound, *within)}

        said = judged(read(calculation, f"{sign}{bound:.4f} ohm"), "reading")

        assert words == {said} or (said == UNDECIDED and len(words) > 1), (sign, bound, words, said)


@pytest.mark.parametrize(
    ("reading", "name", "says"),
    [
        (">999 MΩ", "measured_more_than", "read as more than 999000000 ohm"),
        ("<0.01 ohm", "measured_less_than", "read as less than 0.01 ohm"),
    ],
)
@pytest.mark.parametrize("calculation", JUDGING)
def test_a_bound_is_never_shown_as_the_reading_itself(calculation: str, reading: str, name: str, says: str) -> None:
    answer = read(calculation, reading)

    shown = [one.name for one in answer.results] + [one.name for step in answer.working for one in step.inputs]
    assert name in shown and "measured" not in shown
    (said,) = [one.words for one in answer.judgements if one.name == "reading"]
    assert says in said


def test_what_decides_nothing_says_what_to_do() -> None:
    (said,) = read("isolation-reading", ">2 kohm").judgements

    assert said.words == "read as more than 2000 ohm, which decides nothing here: measure on a range that shows the number itself"


@pytest.mark.parametrize(("reading", "told"), [(">0.5 ohm", "least_true_value"), ("<0.5 ohm", "greatest_true_value")])
def test_only_the_bounded_end_of_the_true_value_is_told(reading: str, told: str) -> None:
    """0.5 ohm less or more 30 % and 0.05 ohm, by hand."""
    answer = read("continuity-reading", reading)

    named = [one.name for one in answer.results if one.name.endswith("true_value")]
    assert named == [told]
    assert result(answer, told) == pytest.approx(0.3 if told == "least_true_value" else 0.7)


@pytest.mark.parametrize("calculation", JUDGING)
@pytest.mark.parametrize("reading", ["> 999 MΩ", "999MΩ", "OL", "0,05 ohm", "5 Ohm", ">999", "unknown", -1, 2e9])
def test_what_is_no_reading_is_told_how_one_is_written(calculation: str, reading: float | str) -> None:
    with pytest.raises(Refused) as refused:
        read(calculation, reading)

    (fault,) = refused.value.faults
    assert fault.pointer == "/measured_ohm"
    assert fault.detail.startswith(
        "write a number from 0 to 1000000000, in ohm, or text such as `0.05 ohm`, `<0.01 ohm`, `150 kohm`, `>999 MΩ`:"
        " a number with a point, one space, and mohm"
    )
    assert "quotation marks" not in fault.detail


def test_every_reading_that_is_judged_takes_the_same_forms() -> None:
    judging = {name for name, one in CALCULATIONS.items() if "measured_ohm" in one.inputs.model_fields}

    assert judging == set(JUDGING)

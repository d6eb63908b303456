"""Limits and readings of isolation, as calculations, against figures printed in the trade.

Sources: Guidance Note 8 (IET) as quoted on IET EngX ("The extraneous conductive part test"); NICEIC and ECA answers on Voltimum UK;
electriciansforums 16558, 52802, 83471, 89436 and "Extraneous part issue?".
"""

from typing import Any

import pytest
from tests.calculations.changed import with_cell, with_value, without_tables, worked_by
from tests.calculations.worked import judged, pack, result, worked

from bondwright.errors import Refused


@pytest.mark.parametrize(
    ("touch_current", "printed_ohm"),
    [
        pytest.param("let_go", 22_000, id="10 mA: Guidance Note 8 on EngX, Voltimum"),
        pytest.param("rcd", 6_667, id="30 mA: Extraneous part issue?, 52802"),
        pytest.param("five", 45_000, id="5 mA: Bonding to pipes, 89436"),
        pytest.param("perception", 459_000, id="0.5 mA: worked out from the printed formula"),
    ],
)
def test_limit_is_the_printed_one(touch_current: str, printed_ohm: float) -> None:
    assert result(worked("isolation-limit", touch_current=touch_current), "limit") == pytest.approx(printed_ohm, abs=0.5)


@pytest.mark.parametrize(("touch_current", "printed_ohm"), [("let_go", 23_000), ("rcd", 7_667)])
def test_with_the_body_left_out_it_is_the_other_figure_in_print(touch_current: str, printed_ohm: float) -> None:
    """electriciansforums 16558 (23 kohm) and "Extraneous part issue?" (7 667 ohm): the same formula without a body."""
    answer = worked_by(with_value("body_resistance", 0), "isolation-limit", touch_current=touch_current)

    assert result(answer, "limit") == pytest.approx(printed_ohm, abs=0.5)


def test_the_unit_printed_wrong_in_some_posts_is_not_ours() -> None:
    """One post writes 22 megohm."""
    answer = worked("isolation-limit")

    assert (answer.results[0].value, answer.results[0].unit) == (22_000, "ohm")


def test_the_default_is_the_current_by_which_evaluations_decide() -> None:
    answer = worked("isolation-limit")

    assert result(answer, "limit") == result(worked("isolation-limit", touch_current="let_go"), "limit")
    assert "touch_current_default" in [cited.what for cited in answer.sources]


def test_the_raised_current_of_evaluations_is_that_of_a_residual_current_device() -> None:
    assert pack().references["touch-current"].cell("rcd").value / 1000 == pack().values["touch_current_raised"].value


@pytest.mark.parametrize(
    ("measured_ohm", "touch_current", "word"),
    [
        pytest.param(7_000, "let_go", "below", id="7 kohm at 10 mA is printed as extraneous: Extraneous part issue?"),
        pytest.param(7_000, "rcd", "within_uncertainty", id="7 kohm at 30 mA is printed as not extraneous; see below"),
        pytest.param(99_900, "five", "at_or_above", id="a bathroom on plastic, no bond: 83471"),
        pytest.param(140_000, "default", "at_or_above", id="a towel rail fed by plastic: 172559"),
        pytest.param(140_000, "perception", "below", id="the same would be bonded if perception were asked for"),
    ],
)
def test_printed_reading_is_judged(measured_ohm: float, touch_current: str, word: str) -> None:
    """The printed 7 kohm against 6 667 ohm: an instrument may be 30 % out, so that such a reading decides nothing."""
    answer = worked("isolation-reading", measured_ohm=measured_ohm, touch_current=touch_current)

    assert judged(answer, "reading") == word


def test_printed_reading_of_7_kohm_is_told_by_a_better_instrument() -> None:
    answer = worked_by(with_value("reading_uncertainty", 0.03), "isolation-reading", measured_ohm=7_000, touch_current="rcd")

    assert judged(answer, "reading") == "at_or_above"


def test_what_lies_within_the_uncertainty_says_that_it_decides_nothing() -> None:
    answer = worked("isolation-reading", measured_ohm=7_000, touch_current="rcd")

    assert "decides nothing" in answer.judgements[0].words


def test_working_shows_what_went_in_and_ends_with_the_result() -> None:
    answer = worked("isolation-limit", touch_current="five")

    assert [(one.name, one.value, one.unit) for one in answer.working[-1].inputs] == [
        ("U0", 230, "V"),
        ("Ib", 0.005, "A"),
        ("Zt", 1000, "ohm"),
    ]
    assert answer.working[-1].gives == answer.results[0]


def test_a_reading_is_no_better_trusted_than_its_uncertainty() -> None:
    """The 30 % are from memory; the limit alone rests on what was read."""
    assert worked("isolation-limit").weakest_source == "secondary"
    assert worked("isolation-reading", measured_ohm=7_000).weakest_source == "from_memory"


@pytest.mark.parametrize("touch_current", ["perception", "five", "let_go", "rcd"])
def test_a_touch_current_changed_in_the_table_changes_the_limit(touch_current: str) -> None:
    changed = with_cell("touch-current", touch_current, value=2)

    assert result(worked_by(changed, "isolation-limit", touch_current=touch_current), "limit") == 114_000
    assert result(worked_by(changed, "isolation-limit"), "limit") == 22_000


def test_rules_published_before_there_were_tables_know_the_default_alone() -> None:
    assert result(worked_by(without_tables(), "isolation-limit"), "limit") == 22_000

    with pytest.raises(Refused, match="no table `touch-current`") as refused:
        worked_by(without_tables(), "isolation-limit", touch_current="rcd")
    assert refused.value.faults[0].pointer == "/rule_pack"


def test_a_voltage_that_the_body_alone_holds_down_asks_for_nothing() -> None:
    assert result(worked_by(with_value("nominal_voltage", 25), "isolation-limit", touch_current="rcd"), "limit") == 0


@pytest.mark.parametrize(
    ("inputs", "pointer"),
    [
        ({"measured_ohm": -1}, "/measured_ohm"),
        ({"measured_ohm": 2e9}, "/measured_ohm"),
        ({"measured_ohm": "7k"}, "/measured_ohm"),
        ({}, "/measured_ohm"),
        ({"measured_ohm": 7_000, "touch_current": "10 mA"}, "/touch_current"),
        ({"measured_ohm": 7_000, "voltage_v": 110}, ""),
    ],
)
def test_a_reading_that_means_nothing_is_refused_at_its_place(inputs: dict[str, Any], pointer: str) -> None:
    with pytest.raises(Refused) as refused:
        worked("isolation-reading", **inputs)

    assert refused.value.faults[0].pointer == pointer

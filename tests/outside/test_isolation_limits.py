"""Limits for "not extraneous" against figures printed in the trade.

Sources: Guidance Note 8 (IET), as quoted on IET EngX ("The extraneous conductive part test") and on electriciansforums
(threads 16558, 52802, 83471, 89436); NICEIC and ECA answers on Voltimum UK.
"""

import pytest

from bondwright.calculators.isolation import Isolation, isolation_limit, judge_isolation
from bondwright.calculators.ranges import OutOfRange


@pytest.mark.parametrize(
    ("touch_current_a", "body_ohm", "printed_ohm"),
    [
        pytest.param(0.010, 1000, 22_000, id="10 mA, let-go"),
        pytest.param(0.010, 0, 23_000, id="10 mA, body left out"),
        pytest.param(0.030, 1000, 6_667, id="30 mA, residual current device"),
        pytest.param(0.030, 0, 7_667, id="30 mA, body left out"),
        pytest.param(0.005, 1000, 45_000, id="5 mA, used by some engineers"),
        pytest.param(0.0005, 1000, 459_000, id="0.5 mA, perception (worked out from the same formula)"),
    ],
)
def test_limit_at_230_volts_is_the_printed_one(touch_current_a: float, body_ohm: float, printed_ohm: float) -> None:
    limit = isolation_limit(230, touch_current_a, body_ohm)

    assert limit == pytest.approx(printed_ohm, abs=0.5)


def test_printed_case_of_7_kohm_is_extraneous_at_10_milliampere() -> None:
    assert isolation_limit(230, 0.010, 1000) > 7000


def test_printed_case_of_7_kohm_is_not_extraneous_at_30_milliampere() -> None:
    assert isolation_limit(230, 0.030, 1000) < 7000


def test_printed_bathroom_reading_above_99_kohm_passes_even_at_5_milliampere() -> None:
    assert isolation_limit(230, 0.005, 1000) < 99_900


def test_limit_in_megohm_printed_in_some_posts_is_not_ours() -> None:
    assert isolation_limit(230, 0.010, 1000) != pytest.approx(22e6, rel=0.01)


def test_limit_is_zero_where_the_body_alone_holds_the_current_down() -> None:
    assert isolation_limit(25, 0.030, 1000) == 0


@pytest.mark.parametrize(
    ("measured_ohm", "touch_current_a", "judged"),
    [
        pytest.param(7_000, 0.010, "below", id="printed case of 7 kohm, 10 mA"),
        pytest.param(7_000, 0.030, "within_uncertainty", id="printed case of 7 kohm, 30 mA"),
        pytest.param(99_900, 0.005, "at_or_above", id="printed bathroom reading, 5 mA"),
        pytest.param(140_000, 0.010, "at_or_above", id="towel rail fed by plastic, electriciansforums 172559"),
    ],
)
def test_printed_reading_is_judged_with_the_uncertainty_of_the_instrument(
    measured_ohm: float, touch_current_a: float, judged: Isolation
) -> None:
    """IEC 61557-2 allows an instrument 30 % of the reading (from memory). Forums call 7 kohm at 30 mA "not extraneous"; with
    such an instrument it cannot be told from the limit of 6 667 ohm."""
    limit = isolation_limit(230, touch_current_a, 1000)

    assert judge_isolation(measured_ohm, limit, 0.3, 0) == judged


def test_printed_case_of_7_kohm_at_30_milliampere_is_told_by_a_better_instrument() -> None:
    assert judge_isolation(7000, isolation_limit(230, 0.030, 1000), 0.03, 100) == "at_or_above"


def test_reading_at_the_limit_is_at_or_above_only_for_a_perfect_instrument() -> None:
    assert judge_isolation(22_000, 22_000, 0, 0) == "at_or_above"
    assert judge_isolation(22_000, 22_000, 0.01, 0) == "within_uncertainty"


def test_reading_is_below_only_if_it_cannot_be_the_limit_itself() -> None:
    assert judge_isolation(16_000, 24_000, 0.5, 0) == "within_uncertainty"
    assert judge_isolation(15_999, 24_000, 0.5, 0) == "below"


def test_everything_is_at_or_above_a_limit_of_nothing() -> None:
    assert judge_isolation(0, 0, 0.3, 100) == "at_or_above"


@pytest.mark.parametrize(
    ("measured_ohm", "limit_ohm", "relative_uncertainty", "fixed_ohm"),
    [(-1, 22_000, 0.3, 0), (7000, -1, 0.3, 0), (7000, 22_000, -0.3, 0), (7000, 22_000, 0.3, -1), (float("nan"), 22_000, 0.3, 0)],
)
def test_impossible_reading_is_refused(measured_ohm: float, limit_ohm: float, relative_uncertainty: float, fixed_ohm: float) -> None:
    with pytest.raises(OutOfRange):
        judge_isolation(measured_ohm, limit_ohm, relative_uncertainty, fixed_ohm)


@pytest.mark.parametrize(
    ("voltage_v", "touch_current_a", "body_ohm"),
    [(0, 0.01, 1000), (230, 0, 1000), (230, -0.01, 1000), (230, 0.01, -1), (float("nan"), 0.01, 1000), (230, float("inf"), 1000)],
)
def test_limit_of_impossible_inputs_is_refused(voltage_v: float, touch_current_a: float, body_ohm: float) -> None:
    with pytest.raises(OutOfRange):
        isolation_limit(voltage_v, touch_current_a, body_ohm)

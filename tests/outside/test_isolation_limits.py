"""Limits for "not extraneous" against figures printed in the trade.

Sources: Guidance Note 8 (IET), as quoted on IET EngX ("The extraneous conductive part test") and on electriciansforums
(threads 16558, 52802, 83471, 89436); NICEIC and ECA answers on Voltimum UK.
"""

import pytest

from bondwright.calculators.isolation import isolation_limit
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
    ("voltage_v", "touch_current_a", "body_ohm"),
    [(0, 0.01, 1000), (230, 0, 1000), (230, -0.01, 1000), (230, 0.01, -1), (float("nan"), 0.01, 1000), (230, float("inf"), 1000)],
)
def test_limit_of_impossible_inputs_is_refused(voltage_v: float, touch_current_a: float, body_ohm: float) -> None:
    with pytest.raises(OutOfRange):
        isolation_limit(voltage_v, touch_current_a, body_ohm)

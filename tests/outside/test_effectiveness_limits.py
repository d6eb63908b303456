"""The greatest resistance at which bonding is still effective, against figures printed in the trade.

Sources stand beside each row; "Scaddan" is Brian Scaddan's text in IAEI Magazine, 25 July 2016.
"""

import pytest

from bondwright.calculators.effectiveness import operating_current, resistance_limit
from bondwright.calculators.ranges import OutOfRange


@pytest.mark.parametrize(
    ("operating_current_a", "printed_ohm", "last_digit_ohm"),
    [
        pytest.param(30, 1.67, 0.01, id="6 A type B: electriciansforums 83471 (57264 prints 1.66)"),
        pytest.param(145, 0.34, 0.01, id="BS 3036 fuse of 45 A at 5 s: Scaddan"),
        pytest.param(0.03, 1667, 1, id="30 mA residual current device: electriciansforums 57264, 60825"),
        pytest.param(0.3, 166.7, 0.1, id="300 mA residual current device: Italian test sheet"),
    ],
)
def test_limit_at_50_volts_is_the_printed_one(operating_current_a: float, printed_ohm: float, last_digit_ohm: float) -> None:
    limit = resistance_limit(50, operating_current_a)

    assert limit == pytest.approx(printed_ohm, abs=last_digit_ohm)


def test_type_b_of_32_ampere_is_judged_by_its_operating_current() -> None:
    limit = resistance_limit(50, operating_current(32, 5))

    assert limit == 0.3125


def test_wrong_answer_printed_for_32_ampere_is_not_ours() -> None:
    """electriciansforums 60825 divides by the rating and prints 50 / 32 = 1.563."""
    limit = resistance_limit(50, operating_current(32, 5))

    assert limit != pytest.approx(1.563, abs=0.001)


@pytest.mark.parametrize(
    ("voltage_v", "current_a", "printed_ohm"),
    [pytest.param(50, 0.029, 1725, id="50 V"), pytest.param(220, 0.147, 1500, id="220 V")],
)
def test_body_resistance_behind_the_printed_touch_current_is_printed_too(voltage_v: float, current_a: float, printed_ohm: float) -> None:
    """IEC touch-voltage values, as printed in IET EngX "Why 0.4 s": 50 V drives 29 mA, 220 V drives 147 mA."""
    body_ohm = resistance_limit(voltage_v, current_a)

    assert body_ohm == pytest.approx(printed_ohm, rel=0.5 / 29)


@pytest.mark.parametrize(("voltage_v", "operating_current_a"), [(0, 30), (50, 0), (50, -30), (float("inf"), 30), (50, float("nan"))])
def test_limit_of_impossible_inputs_is_refused(voltage_v: float, operating_current_a: float) -> None:
    with pytest.raises(OutOfRange):
        resistance_limit(voltage_v, operating_current_a)


@pytest.mark.parametrize(("rated_a", "multiple"), [(0, 5), (32, 0), (-32, -5)])
def test_operating_current_of_impossible_inputs_is_refused(rated_a: float, multiple: float) -> None:
    with pytest.raises(OutOfRange):
        operating_current(rated_a, multiple)

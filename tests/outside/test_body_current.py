"""Current through the body, against figures of the literature.

Impedances: IEC 479-1:1994 table 1, hand to hand or hand to foot, large dry contact, as the note "GFI" (idea2ic) prints it.
The later issues differ; the book is not read. Nothing here says what is safe.
"""

import pytest

from bondwright.calculators.body import BodyTable, body_current, body_impedance, longest_time
from bondwright.calculators.isolation import isolation_limit
from bondwright.calculators.ranges import OutOfRange

_VOLTAGES = (25, 50, 75, 100, 125, 220, 700, 1000)
_IMPEDANCES = {
    5: (1750, 1450, 1250, 1200, 1125, 1000, 750, 700),
    50: (3250, 2625, 2200, 1875, 1625, 1350, 1100, 1050),
    95: (6100, 4375, 3500, 3200, 2875, 2125, 1550, 1500),
}
BODY: BodyTable = {voltage: {each: _IMPEDANCES[each][place] for each in _IMPEDANCES} for place, voltage in enumerate(_VOLTAGES)}
SHOES_AND_FLOOR_OHM, BOTH_HANDS_TO_BOTH_FEET = 1000, 0.5

TN_S: dict[float, float] = {
    120: 0.8,
    230: 0.4,
    400: 0.2,
}  # table 41.1 of BS 7671:2008 as the page "41-1" of a trade site prints it, a.c., above 50 V
TT_S: dict[float, float] = {120: 0.3, 230: 0.2, 400: 0.07}


@pytest.mark.parametrize(("voltage_v", "printed_ohm"), [(50, 1725), (100, 1600), (220, 1500)])
def test_body_with_shoes_and_floor_has_the_printed_resistance(voltage_v: float, printed_ohm: float) -> None:
    """IET EngX "Why 0.4 s" prints the model behind the disconnection times: 1000 ohm, and half the body of the 5 per cent."""
    current = body_current(voltage_v, 5, BODY, BOTH_HANDS_TO_BOTH_FEET, SHOES_AND_FLOOR_OHM)

    assert voltage_v / current == pytest.approx(printed_ohm)


@pytest.mark.parametrize(("voltage_v", "printed_ma"), [(50, 29), (220, 147)])
def test_body_with_shoes_and_floor_carries_the_printed_current(voltage_v: float, printed_ma: float) -> None:
    """The same page."""
    current = body_current(voltage_v, 5, BODY, BOTH_HANDS_TO_BOTH_FEET, SHOES_AND_FLOOR_OHM)

    assert current * 1000 == pytest.approx(printed_ma, abs=0.5)


@pytest.mark.parametrize(("body_ohm", "printed_ma"), [(3000, 76), (1500, 153), (500, 460), (250, 920)])
def test_body_of_a_printed_resistance_carries_the_printed_current_at_230_volts(body_ohm: float, printed_ma: float) -> None:
    """P. Cook, "You do not have to earth plastic pipes" (IEE, 2002)."""
    current = body_current(230, 50, {230: {50: body_ohm}}, 1, 0)

    assert current * 1000 == pytest.approx(printed_ma, abs=0.8)


@pytest.mark.parametrize("percentile", [5, 50])
def test_part_at_the_limit_for_10_milliampere_drives_about_that_through_most_people(percentile: int) -> None:
    """The limit of 22 kohm takes a body of 1000 ohm."""
    current = body_current(230, percentile, BODY, 1, isolation_limit(230, 0.010, 1000))

    assert current == pytest.approx(0.010, rel=0.02)


def over_a_gap(voltage_v: float, percentile: int) -> float:
    """Impedance at a voltage of the table by a straight line over its row, as a share of what stands in the row."""
    without = {voltage: row for voltage, row in BODY.items() if voltage != voltage_v}
    return body_impedance(voltage_v, percentile, without) / BODY[voltage_v][percentile]


@pytest.mark.parametrize("percentile", _IMPEDANCES)
@pytest.mark.parametrize("left_out", [50, 75, 100])
def test_straight_line_over_a_gap_of_50_volts_is_at_most_a_tenth_too_high(left_out: float, percentile: int) -> None:
    assert 0.985 < over_a_gap(left_out, percentile) < 1.1


@pytest.mark.parametrize(("percentile", "share"), [(5, 1.06), (50, 1.14), (95, 1.25)])
def test_straight_line_over_a_wide_gap_makes_the_impedance_too_high(percentile: int, share: float) -> None:
    """From 125 to 700 V: a table with wide gaps makes too little of the current, by up to a quarter."""
    assert over_a_gap(220, percentile) == pytest.approx(share, abs=0.006)


@pytest.mark.parametrize("percentile", _IMPEDANCES)
@pytest.mark.parametrize("voltage_v", _VOLTAGES)
def test_tabulated_voltage_gives_the_tabulated_impedance(voltage_v: float, percentile: int) -> None:
    assert body_impedance(voltage_v, percentile, BODY) == BODY[voltage_v][percentile]


def test_table_at_the_edge_of_arithmetic_still_gives_a_number() -> None:
    steep: BodyTable = {5e195: {5: 3e227}, 3e298: {5: 1e-209}}

    assert body_impedance(5e200, 5, steep) == pytest.approx(3e227)


@pytest.mark.parametrize(
    ("voltage_v", "table", "printed_s"),
    [
        pytest.param(230, TT_S, 0.2, id="TT final circuit at 230 V"),
        pytest.param(230, TN_S, 0.4, id="TN, or TT with overcurrent device and all metalwork bonded"),
        pytest.param(120, TN_S, 0.8, id="at the end of a step"),
        pytest.param(120.1, TN_S, 0.4, id="just above the end of a step"),
        pytest.param(51, TT_S, 0.3, id="in the first step"),
    ],
)
def test_longest_time_is_the_printed_one(voltage_v: float, table: dict[float, float], printed_s: float) -> None:
    assert longest_time(voltage_v, table) == printed_s


@pytest.mark.parametrize(
    ("voltage_v", "percentile", "table"),
    [
        pytest.param(24, 5, BODY, id="below the table"),
        pytest.param(1001, 5, BODY, id="above the table"),
        pytest.param(0, 5, BODY, id="no voltage"),
        pytest.param(float("nan"), 5, BODY, id="no number"),
        pytest.param(50, 10, BODY, id="a percentile that is not there"),
        pytest.param(50, 5, {}, id="no table"),
        pytest.param(50, 5, {50: {5: 0}}, id="no impedance"),
        pytest.param(50, 5, {50: {5: 1000}, 75: {5: 1100}}, id="an impedance that rises"),
        pytest.param(50, 5, {50: {5: 1000}, 75: {50: 900}}, id="a percentile that is not there at another voltage"),
    ],
)
def test_body_that_the_table_does_not_know_is_refused(voltage_v: float, percentile: int, table: BodyTable) -> None:
    with pytest.raises(OutOfRange):
        body_impedance(voltage_v, percentile, table)


@pytest.mark.parametrize(("path_factor", "series_ohm"), [(0, 0), (-0.5, 1000), (1, -1), (float("nan"), 0), (1, float("inf"))])
def test_impossible_path_is_refused(path_factor: float, series_ohm: float) -> None:
    with pytest.raises(OutOfRange):
        body_current(50, 5, BODY, path_factor, series_ohm)


@pytest.mark.parametrize(
    ("voltage_v", "table"),
    [(401, TN_S), (0, TN_S), (float("nan"), TN_S), (50, {}), (50, {120: 0.4, 230: 0.8}), (50, {120: 0}), (50, {120: float("inf")})],
)
def test_time_that_the_table_does_not_know_is_refused(voltage_v: float, table: dict[float, float]) -> None:
    with pytest.raises(OutOfRange):
        longest_time(voltage_v, table)

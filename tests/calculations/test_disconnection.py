"""Limits of electrode, loop and time as calculations give them, against figures printed in the trade."""

import json
import math
from typing import Any

import numpy as np
import pytest
from tests.calculations.worked import judged, pack, published, result, worked
from tests.described import terms

from bondwright.calculations.answer import CalculationAnswer
from bondwright.calculations.catalogue import CALCULATIONS, calculate
from bondwright.calculators.disconnection import electrode_limit, greatest_loop_impedance
from bondwright.errors import Fault, Refused
from bondwright.installation.documents import read_document
from bondwright.members import replace
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.reference import Key

USED: dict[str, tuple[dict[str, Any], tuple[str, tuple[Key, ...], float], float]] = {
    "loop-impedance-limit": ({"operating_current_a": 160}, ("least-voltage-factor", (), 0.9), 230 * 0.9 / 160),
    "disconnection-time": ({"system": "tt"}, ("disconnection-time", ("tt", "ac", 230), 0.15), 0.15),
}
"""For each calculation: inputs, a table with keys and another number there, and what then comes out."""


def with_cell(table: str, keys: tuple[Key, ...], value: float | None) -> RulePack:
    """The pack with another number in a row of a table, or without the row."""
    held = pack().references[table]
    assert keys in held.cells
    cells = {key: cell for key, cell in held if key != keys}
    if value is not None:
        cells[keys] = replace(held.cells[keys], value=value)
    return replace(pack(), references={**pack().references, table: replace(held, cells=cells)})


def on(other: RulePack, calculation: str, **inputs: Any) -> CalculationAnswer:
    """A calculation on another pack."""
    asked = CALCULATIONS[calculation]
    read, _ = read_document(json.dumps(inputs).encode(), asked.inputs, terms())
    return calculate(asked, read, other, lambda *_: [])


def time(**inputs: Any) -> float:
    return result(worked("disconnection-time", **inputs), "disconnection_time")


def refused(other: RulePack, **inputs: Any) -> Fault:
    with pytest.raises(Refused) as caught:
        on(other, "disconnection-time", **inputs)
    (fault,) = caught.value.faults
    return fault


@pytest.mark.parametrize(("residual_a", "printed_ohm"), [(0.030, 1667), (0.100, 500), (0.300, 166.7), (0.500, 100), (0.250, 200)])
def test_residual_current_allows_the_printed_electrode(residual_a: float, printed_ohm: float) -> None:
    """1667 ohm: electriciansforums 57264; 200 ohm for 250 mA: the On-Site Guide, as DIYnot 108875 quotes it; the others by hand."""
    found = result(worked("electrode-limit", residual_current_a=residual_a), "electrode_limit")

    assert found == pytest.approx(printed_ohm, rel=0.001)
    assert found == pytest.approx(electrode_limit(50, residual_a), rel=1e-9)


@pytest.mark.parametrize(
    ("measured_ohm", "word"),
    [(0, "at_or_below"), (1282, "at_or_below"), (1283, "within_uncertainty"), (2380, "within_uncertainty"), (2381, "above")],
)
def test_electrode_is_judged_as_far_as_the_instrument_can_be_trusted(measured_ohm: float, word: str) -> None:
    """By hand: 1666.7 ohm over 1.3 and over 0.7, with the 30 % of the pack."""
    answer = worked("electrode-limit", residual_current_a=0.03, measured_ohm=measured_ohm)

    assert judged(answer, "reading") == word
    assert [one.what for one in answer.sources] == ["electrode-touch-voltage", "reading_uncertainty"]


def test_electrode_without_a_reading_is_not_judged() -> None:
    assert worked("electrode-limit", residual_current_a=0.03).judgements == ()


@pytest.mark.parametrize(
    ("operating_a", "printed_ohm"),
    [
        pytest.param(160, 1.37, id="type B of 32 A (from memory)"),
        pytest.param(30, 7.28, id="type B of 6 A (from memory)"),
        pytest.param(320, 0.68, id="type D of 16 A at 0.4 s, in public tables"),
        pytest.param(145, 1.51, id="BS 3036 of 45 A at 5 s: 145 A in B. Scaddan, IAEI Magazine, 25 July 2016; 1.51 from memory"),
    ],
)
def test_loop_impedance_is_the_printed_one(operating_a: float, printed_ohm: float) -> None:
    found = result(worked("loop-impedance-limit", operating_current_a=operating_a), "loop_impedance_limit")

    assert found == pytest.approx(printed_ohm, abs=0.006)
    assert found == pytest.approx(greatest_loop_impedance(230, operating_a, 0.95), rel=1e-9)


def test_loop_impedance_goes_with_the_voltage_that_is_given() -> None:
    answer = worked("loop-impedance-limit", operating_current_a=160, u0_v=115)

    assert result(answer, "loop_impedance_limit") == pytest.approx(115 * 0.95 / 160)
    assert [one.what for one in answer.sources] == ["least-voltage-factor"]


@pytest.mark.parametrize(
    ("u0_v", "limit_ohm", "words"),
    [
        pytest.param(229.9, 1.36503, [], id="below the nominal voltage"),
        pytest.param(230, 1.36563, [], id="the nominal voltage"),
        pytest.param(230.1, 1.36563, ["taken_for_a_reading"], id="just above it"),
        pytest.param(253, 1.36563, ["taken_for_a_reading"], id="the greatest that a supply of 230 V may have"),
        pytest.param(253.1, 1.50278, [], id="no voltage of such a supply"),
        pytest.param(277, 1.64469, [], id="another nominal voltage"),
    ],
)
def test_voltage_read_on_the_supply_allows_no_greater_loop(u0_v: float, limit_ohm: float, words: list[str]) -> None:
    """By hand: 0.95 U0 / 160 A. The least voltage is that of the nominal one, however high the supply happens to stand."""
    answer = worked("loop-impedance-limit", operating_current_a=160, u0_v=u0_v)

    assert result(answer, "loop_impedance_limit") == pytest.approx(limit_ohm, abs=0.00001)
    assert [one.word for one in answer.judgements] == words


def test_older_pack_without_a_greatest_voltage_takes_the_voltage_that_is_given() -> None:
    references = {name: table for name, table in pack().references.items() if name != "greatest-voltage-factor"}

    answer = on(replace(pack(), references=references), "loop-impedance-limit", operating_current_a=160, u0_v=240)

    assert answer.results[0].value == pytest.approx(240 * 0.95 / 160)


def test_final_circuit_of_tt_at_230_volts_is_given_the_printed_time() -> None:
    """0.2 s: trade notes on BS 7671 Table 41.1, seen in two public pages."""
    assert time(system="tt") == 0.2


@pytest.mark.parametrize(
    ("system", "printed_s"),
    [("tn", {100: 0.8, 120: 0.8, 230: 0.4, 400: 0.2, 690: 0.1}), ("tt", {120: 0.3, 230: 0.2, 400: 0.07, 690: 0.04})],
)
def test_final_circuits_are_given_the_times_of_the_table(system: str, printed_s: dict[float, float]) -> None:
    """BS 7671 Table 41.1 for a.c., as public pages print it."""
    assert {volt: time(system=system, voltage_v=volt) for volt in printed_s} == printed_s


CURVE_S = {50: 5, 75: 0.60, 90: 0.45, 120: 0.34, 150: 0.27, 220: 0.17, 280: 0.12, 350: 0.08, 500: 0.04}
"""Longest time for a touch voltage in volt in dry conditions, curve L1 of IEC 61200-413; from memory."""


@pytest.mark.parametrize(
    ("system", "voltage_v", "touch_v"),
    [
        pytest.param("tn", 120, 48, id="TN at 120 V"),
        pytest.param("tn", 230, 92, id="TN at 230 V"),
        pytest.param("tn", 400, 160, id="TN at 400 V"),
        pytest.param("tn", 690, 276, id="TN at 690 V"),
        pytest.param("tt", 120, 96, id="TT at 120 V"),
        pytest.param("tt", 230, 184, id="TT at 230 V"),
        pytest.param("tt", 400, 320, id="TT at 400 V"),
    ],
)
def test_touch_voltage_lasts_no_longer_than_the_curve_for_the_body_allows(system: str, voltage_v: float, touch_v: float) -> None:
    """Where the times come from: 0.8 U0 at the fault, of which half drops in the protective conductor of TN and hardly any in TT."""
    curve = sorted(CURVE_S.items())
    allowed_s = 10 ** float(np.interp(touch_v, [volt for volt, _ in curve], [math.log10(long) for _, long in curve]))

    assert 0.1 * allowed_s < time(system=system, voltage_v=voltage_v) <= allowed_s


def test_voltage_just_above_a_row_takes_the_next() -> None:
    assert time(system="tn", voltage_v=230.1) == 0.2


@pytest.mark.parametrize(("system", "printed_s"), [("tn", 5), ("tt", 1)])
def test_other_circuits_are_given_the_printed_times(system: str, printed_s: float) -> None:
    """The same table's neighbours for distribution circuits: 5 s in TN, 1 s in TT."""
    assert time(system=system, circuit="other") == printed_s


def test_direct_current_has_times_of_its_own() -> None:
    assert time(system="tn", current="dc", voltage_v=400) == 0.4


@pytest.mark.parametrize(("current", "voltage_v"), [("ac", 50), ("dc", 100), ("dc", 120)])
@pytest.mark.parametrize("circuit", ["final", "other"])
def test_no_time_is_asked_where_the_touch_voltage_may_last(current: str, voltage_v: float, circuit: str) -> None:
    fault = refused(pack(), system="tn", current=current, voltage_v=voltage_v, circuit=circuit)

    assert fault.pointer == "/voltage_v"
    assert "no time is asked" in fault.detail


def test_row_that_the_table_leaves_out_is_refused_and_no_neighbour_taken_for_it() -> None:
    fault = refused(with_cell("disconnection-time", ("tn", "dc", 230), None), system="tn", current="dc", voltage_v=200)

    assert fault == Fault("/voltage_v", "no row for it in table `disconnection-time`; the smallest row is 400 V; there are 400, 1000 V")


def test_voltage_above_the_last_row_is_refused() -> None:
    held = pack().references["disconnection-time"]
    short = replace(held, cells={keys: cell for keys, cell in held if keys[-1] != 1000})
    without = replace(pack(), references={**pack().references, "disconnection-time": short})

    fault = refused(without, system="tn", voltage_v=401)

    assert fault == Fault("/voltage_v", "no row for it in table `disconnection-time`; the largest row is 400 V; there are 120, 230, 400 V")


@pytest.mark.parametrize("calculation", USED)
def test_another_number_in_the_pack_changes_the_result(calculation: str) -> None:
    inputs, (table, keys, value), wanted = USED[calculation]

    found = on(with_cell(table, keys, value), calculation, **inputs).results[0].value

    assert found == pytest.approx(wanted)
    assert found != worked(calculation, **inputs).results[0].value


@pytest.mark.parametrize("calculation", USED)
def test_the_one_step_gives_the_result(calculation: str) -> None:
    answer = worked(calculation, **USED[calculation][0])

    assert tuple(one.gives for one in answer.working) == answer.results
    assert [one.unit for one in answer.results] == ["s" if calculation == "disconnection-time" else "ohm"]


@pytest.mark.parametrize("calculation", USED)
def test_pack_without_the_tables_is_refused_in_words(calculation: str) -> None:
    with pytest.raises(Refused, match=r"^/rule_pack: this rule pack has no table"):
        on(replace(pack(), references={}), calculation, **USED[calculation][0])


@pytest.mark.parametrize(
    ("calculation", "inputs", "pointer"),
    [
        ("electrode-limit", {"residual_current_a": 0}, "/residual_current_a"),
        ("electrode-limit", {"residual_current_a": 0.03, "measured_ohm": -1}, "/measured_ohm"),
        ("loop-impedance-limit", {}, "/operating_current_a"),
        ("disconnection-time", {"system": "it"}, "/system"),
        ("disconnection-time", {"system": "tn", "voltage_v": 1001}, "/voltage_v"),
    ],
)
def test_input_out_of_range_is_refused_where_it_stands(calculation: str, inputs: dict[str, Any], pointer: str) -> None:
    with pytest.raises(Refused) as caught:
        worked(calculation, **inputs)

    assert [fault.pointer for fault in caught.value.faults] == [pointer]


@pytest.mark.parametrize(("residual_a", "printed_ohm"), [(0.01, 5000), (0.03, 1667), (0.1, 500), (0.3, 167), (0.5, 100), (1, 50)])
def test_electrode_limits_are_those_of_an_instruments_manual(residual_a: float, printed_ohm: float) -> None:
    """An instrument maker's manual, page 27: greatest electrode resistance in TT at 50 V by the residual current in milliampere."""
    assert result(worked("electrode-limit", residual_current_a=residual_a), "electrode_limit") == pytest.approx(printed_ohm, abs=0.5)


def test_electrode_limit_has_the_clause_of_electrodes() -> None:
    (cited,) = worked("electrode-limit", residual_current_a=0.03).sources

    assert cited.clause == "411.5.3; IEC 60364-4-41, 411.5.3"


def test_a_pack_without_that_table_goes_on_with_its_value() -> None:
    older = published("bs7671-2018-a4-r4")
    answer = on(older, "electrode-limit", residual_current_a=0.3)

    assert result(answer, "electrode_limit") == pytest.approx(166.667, abs=0.001)
    assert [one.what for one in answer.sources] == ["touch_voltage_limit"]


def test_electrode_limit_is_never_rounded_up() -> None:
    assert result(worked("electrode-limit", residual_current_a=0.03), "electrode_limit") == 1666.666666


@pytest.mark.parametrize(("residual_a", "words"), [(30, "is written 0.03"), (10, "is written 0.01")])
def test_milliampere_written_for_ampere_gets_a_word(residual_a: float, words: str) -> None:
    answer = worked("electrode-limit", residual_current_a=residual_a)

    assert judged(answer, "residual_current") == "perhaps_milliampere"
    assert words in answer.judgements[0].words
    assert "residual-current-marking: " in answer.sources[-1].what


@pytest.mark.parametrize("residual_a", [0.03, 1, 3, 29.9])
def test_ampere_that_is_no_marking_gets_none(residual_a: float) -> None:
    assert worked("electrode-limit", residual_current_a=residual_a).judgements == ()


@pytest.mark.parametrize(
    ("residual_a", "right"), [(30.1, "mA is divided by 1000"), (100, "mA is divided by 1000"), (0.0049, "0.005 to 30")]
)
def test_residual_current_beyond_its_range_is_refused_in_one_message(residual_a: float, right: str) -> None:
    with pytest.raises(Refused) as caught:
        worked("electrode-limit", residual_current_a=residual_a)

    (fault,) = caught.value.faults
    assert (fault.pointer, right in fault.detail) == ("/residual_current_a", True)

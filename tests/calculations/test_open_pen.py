"""A broken PEN and a shared riser as calculations give them, against worked and printed figures and against the calculator.

"Worked" figures for 230 V were computed by ngspice, and by gnucap or by phasors written out, apart from this code.
"""

import json
import math
from typing import Any

import pytest
from tests.calculations.worked import judged, pack, result, worked
from tests.described import terms

from bondwright.calculations.answer import CalculationAnswer, Step
from bondwright.calculations.catalogue import CALCULATIONS, calculate
from bondwright.calculators.networks.open_pen import Flat, Load, OpenPen, SharedRiser, open_pen_voltages, riser_currents
from bondwright.errors import Refused
from bondwright.installation.documents import read_document
from bondwright.members import replace
from bondwright.rulebook.pack import RulePack

SHOWER = {"power_w": 4600}
THREE_PHASE: list[dict[str, Any]] = [{"resistance_ohm": 5}, {"resistance_ohm": 8, "phase": "l2"}, {"resistance_ohm": 20, "phase": "l3"}]
FLATS: list[dict[str, Any]] = [
    {"name": "a", "bond_ohm": 0.04, "loads": [{"power_w": 9200}]},
    {"name": "b", "bond_ohm": 0.04, "pen_ohm": 0.15},
    {"name": "c", "bond_ohm": 0.04, "pen_ohm": 0.15},
]


def open_pen(*loads: dict[str, Any], **more: Any) -> CalculationAnswer:
    return worked("open-pen", **{"loads": loads, "source_electrode_ohm": 0, **more})


def riser(*flats: dict[str, Any], **more: Any) -> CalculationAnswer:
    return worked("shared-riser", **{"flats": flats, "source_electrode_ohm": 0, **more})


def with_cell(table: str, value: float) -> RulePack:
    """The pack with another number in a table of one row."""
    held = pack().references[table]
    other = replace(held, cells={keys: replace(cell, value=value) for keys, cell in held})
    return replace(pack(), references={**pack().references, table: other})


def on(other: RulePack, **inputs: Any) -> CalculationAnswer:
    """`open-pen` on another pack."""
    asked = CALCULATIONS["open-pen"]
    read, _ = read_document(json.dumps({"source_electrode_ohm": 0, **inputs}).encode(), asked.inputs, terms())
    return calculate(asked, read, other, lambda *_: [])


def step_for(answer: CalculationAnswer, name: str) -> Step:
    (found,) = (one for one in answer.working if one.gives.name == name)
    return found


@pytest.mark.parametrize(("earth_ohm", "worked_v"), [(1, 18.4), (5, 69.7), (20, 146.0), (100, 206.3)])
def test_terminal_with_4_6_kilowatt_on_stands_at_the_worked_voltage(earth_ohm: float, worked_v: float) -> None:
    assert result(open_pen(SHOWER, earth_ohm=earth_ohm), "terminal_voltage") == pytest.approx(worked_v, abs=0.05)


@pytest.mark.parametrize(
    ("earth_ohm", "volts"),
    [
        (1, (4, 12, 27, 37)),
        (2, (8, 23, 48, 63)),
        (5, (20, 51, 92, 112)),
        (10, (37, 83, 131, 150)),
        (20, (63, 122, 167, 182)),
        (50, (112, 170, 200, 208)),
        (100, (150, 196, 214, 218)),
    ],
)
def test_terminal_stands_at_the_voltages_of_the_divider_by_hand(earth_ohm: float, volts: tuple[int, ...]) -> None:
    """For 1, 3, 7 and 10 kW, in whole volts, from U0 R / (R + load), which a letter to New Scientist (17 October 1998) describes."""
    found = [result(open_pen({"power_w": power}, earth_ohm=earth_ohm), "terminal_voltage") for power in (1000, 3000, 7000, 10000)]

    assert found == pytest.approx(volts, abs=0.5)


def test_three_unlike_loads_bring_the_terminal_just_over_70_volts() -> None:
    """Worked: 5, 8 and 20 ohm with 20 ohm to earth give 70.30 V."""
    answer = open_pen(*THREE_PHASE, earth_ohm=20)

    assert result(answer, "terminal_voltage") == pytest.approx(70.30, abs=0.005)
    assert judged(answer, "terminal_voltage") == "above_limit"


@pytest.mark.parametrize(
    ("currents_a", "printed_a"),
    [pytest.param((60, 40, 25), 30.41, id="figures of ours"), pytest.param((30, 20, 10), 17.3, id="worked from the same formula")],
)
def test_neutral_current_is_that_of_the_printed_formula(currents_a: tuple[float, ...], printed_a: float) -> None:
    """The formula for unbalance of BS 7671 annex A722, as electriciansforums 105282 prints it."""
    first, second, third = currents_a
    loads: list[dict[str, Any]] = [
        {"resistance_ohm": 230 / current, "phase": phase} for current, phase in zip(currents_a, ("l1", "l2", "l3"), strict=True)
    ]

    found = result(open_pen(*loads, earth_ohm=0), "earth_current")

    assert found == pytest.approx(math.hypot(first - 0.5 * (second + third), 0.866 * (second - third)), rel=1e-4)
    assert found == pytest.approx(printed_a, abs=0.05)


@pytest.mark.parametrize(
    ("current_a", "with_factor_ohm", "without_ohm"), [(32, 2.75, 3.14), (40, 2.20, 2.52), (60, 1.47, 1.68), (100, 0.88, 1.01)]
)
def test_limit_is_reached_at_the_resistance_worked_from_the_formula(current_a: float, with_factor_ohm: float, without_ohm: float) -> None:
    """From memory: the formula of BS 7671 annex A722 for vehicle charging, with a voltage factor of 1.1 and without."""
    load = {"resistance_ohm": 230 / current_a}

    assert result(open_pen(load, voltage="greatest"), "earth_resistance_at_limit") == pytest.approx(with_factor_ohm, abs=0.006)
    assert result(open_pen(load), "earth_resistance_at_limit") == pytest.approx(without_ohm, abs=0.006)


def test_terminal_stands_at_the_limit_at_the_resistance_given_for_it() -> None:
    ohm = result(open_pen(*THREE_PHASE, source_electrode_ohm=3), "earth_resistance_at_limit")
    below = open_pen(*THREE_PHASE, source_electrode_ohm=3, earth_ohm=ohm * (1 - 1e-6))
    above = open_pen(*THREE_PHASE, source_electrode_ohm=3, earth_ohm=ohm * (1 + 1e-6))

    assert result(below, "terminal_voltage") == pytest.approx(70)
    assert [judged(one, "terminal_voltage") for one in (below, above)] == ["at_or_below_limit", "above_limit"]
    assert judged(below, "earth_resistance") == "limit_passed_above_it"


def test_loads_that_need_no_neutral_never_reach_the_limit() -> None:
    answer = open_pen(*({"power_w": 4600, "phase": phase} for phase in ("l1", "l2", "l3")))

    assert judged(answer, "earth_resistance") == "limit_never_passed"
    assert [one.name for one in answer.results] == ["terminal_voltage", "load_voltage/1", "load_voltage/2", "load_voltage/3"]
    assert result(answer, "terminal_voltage") == 0


@pytest.mark.parametrize(("voltage", "factor"), [("nominal", 1), ("greatest", 1.1)])
def test_numbers_are_those_of_the_calculator(voltage: str, factor: float) -> None:
    answer = open_pen(*THREE_PHASE, u0_v=240, earth_ohm=20, source_electrode_ohm=3, voltage=voltage)

    loads = (Load(240 * factor, 5), Load(240 * factor, 8, -120), Load(240 * factor, 20, 120))
    found = open_pen_voltages(OpenPen(loads, 20, 3))
    assert [one.value for one in answer.results[:5]] == pytest.approx([found.terminal_v, found.earth_current_a, *found.load_v], rel=1e-9)


def test_power_is_rated_at_the_nominal_voltage_whatever_the_lines_stand_at() -> None:
    """By hand and by ngspice: 3 kW rated at 230 V is 17.63 ohm; at 253 V, with 20 ohm to earth, 134.5 V, and 70 V at 6.74 ohm."""
    answer = open_pen({"power_w": 3000}, u0_v=253, earth_ohm=20)

    assert step_for(answer, "R").gives.value == pytest.approx(17.633, abs=0.0005)
    assert result(answer, "terminal_voltage") == pytest.approx(134.46, abs=0.005)
    assert result(answer, "earth_resistance_at_limit") == pytest.approx(6.745, abs=0.0005)


def test_greatest_voltage_is_that_of_lines_given_ten_per_cent_higher() -> None:
    raised, greatest = open_pen({"power_w": 3000}, u0_v=253, earth_ohm=20), open_pen({"power_w": 3000}, earth_ohm=20, voltage="greatest")

    assert result(raised, "terminal_voltage") == pytest.approx(result(greatest, "terminal_voltage"))
    assert result(raised, "earth_resistance_at_limit") == pytest.approx(result(greatest, "earth_resistance_at_limit"))


@pytest.mark.parametrize(("rated_v", "ohm"), [(100, 3.333), (230, 17.633), (240, 19.2), (300, 30)])
def test_rated_voltage_of_a_load_gives_its_resistance(rated_v: float, ohm: float) -> None:
    """By hand: the square of the voltage over 3000 W."""
    answer = open_pen({"power_w": 3000, "rated_v": rated_v}, u0_v=253, earth_ohm=20)

    assert step_for(answer, "R").gives.value == pytest.approx(ohm, abs=0.0005)
    assert result(answer, "terminal_voltage") == pytest.approx(253 * 20 / (20 + ohm), abs=0.01)
    assert [one.what for one in answer.sources] == ["open-pen-voltage"]


def test_load_of_a_riser_is_rated_at_the_nominal_voltage_too() -> None:
    """By hand: 9.2 kW are 5.75 ohm; two bonds with two PENs side by side add 0.04 + 0.19 / 2 ohm."""
    answer = riser(*FLATS, u0_v=253)

    assert step_for(answer, "R").gives.value == 5.75
    assert result(answer, "bond_current/a") == pytest.approx(253 / (5.75 + 0.04 + 0.095), rel=1e-6)
    assert "nominal_voltage" in [one.what for one in answer.sources]


def test_another_nominal_voltage_in_the_pack_changes_the_resistance_of_a_load() -> None:
    was = pack().values["nominal_voltage"]
    lower = replace(pack(), values={**pack().values, "nominal_voltage": replace(was, value=115)})

    assert step_for(on(lower, loads=[SHOWER], u0_v=230), "R").gives.value == pytest.approx(115 * 115 / 4600)


def test_a_load_keeps_the_resistance_that_it_has_at_the_nominal_voltage() -> None:
    answer = open_pen(SHOWER, earth_ohm=20, voltage="greatest")

    assert step_for(answer, "R").gives.value == 11.5
    assert result(answer, "terminal_voltage") == pytest.approx(1.1 * result(open_pen(SHOWER, earth_ohm=20), "terminal_voltage"))


def test_each_step_follows_from_what_it_shows() -> None:
    answer = open_pen(*THREE_PHASE, earth_ohm=20)
    shown = {one.name: one.value for one in step_for(answer, "load_voltage/2").inputs}
    across = complex(
        shown["V(line) in phase"] - shown["V(terminal) in phase"],
        shown["V(line) ahead"] - shown["V(terminal) ahead"],
    )
    limit, open_v, short_a = (one.value for one in step_for(answer, "earth_resistance_at_limit").inputs)
    ohm = result(answer, "earth_resistance_at_limit")

    assert abs(across) == pytest.approx(result(answer, "load_voltage/2"))
    assert open_v * ohm / (open_v / short_a + ohm) == pytest.approx(limit)
    assert {one.name for one in answer.results} == {one.gives.name for one in answer.working}
    assert {one.name.partition(" (")[0]: (one.value, one.unit) for one in step_for(answer, "terminal_voltage").inputs} == {
        "line 1 to terminal": (230, "V"),
        "load 1 of terminal": (5, "ohm"),
        "line 2 to terminal": (230, "V"),
        "angle of line 2 to terminal": (-120, "deg"),
        "load 2 of terminal": (8, "ohm"),
        "line 3 to terminal": (230, "V"),
        "angle of line 3 to terminal": (120, "deg"),
        "load 3 of terminal": (20, "ohm"),
        "source electrode": (0, "ohm"),
        "earth path": (20, "ohm"),
    }


def test_what_was_used_is_cited() -> None:
    assert [one.what for one in open_pen(SHOWER).sources] == ["nominal_voltage", "open-pen-voltage"]
    assert [one.what for one in open_pen(SHOWER, u0_v=240, voltage="greatest").sources] == [
        "greatest-voltage-factor",
        "nominal_voltage",
        "open-pen-voltage",
    ]
    assert [one.what for one in open_pen(*THREE_PHASE, u0_v=240).sources] == ["open-pen-voltage"]


def test_another_limit_in_the_pack_changes_judgement_and_resistance() -> None:
    asked = {"loads": [SHOWER], "earth_ohm": 5}

    before, after = on(pack(), **asked), on(with_cell("open-pen-voltage", 50), **asked)

    assert [judged(one, "terminal_voltage") for one in (before, after)] == ["at_or_below_limit", "above_limit"]
    assert result(after, "earth_resistance_at_limit") == pytest.approx(11.5 * 50 / 180)
    assert result(after, "terminal_voltage") == result(before, "terminal_voltage")


def test_another_voltage_factor_in_the_pack_changes_the_voltage_alike() -> None:
    asked = {"loads": [SHOWER], "earth_ohm": 5, "voltage": "greatest"}

    raised = on(with_cell("greatest-voltage-factor", 1.2), **asked)

    assert result(raised, "terminal_voltage") / 1.2 == pytest.approx(result(on(pack(), **asked), "terminal_voltage") / 1.1)


def test_bond_of_the_flat_without_its_pen_carries_nearly_all_its_load() -> None:
    """Worked: 9.2 kW, bonds of 0.04 ohm, two neighbours with 0.15 ohm of PEN: 39.1 A and 5.3 V."""
    answer = riser(*FLATS)

    assert result(answer, "bond_current/a") == pytest.approx(39.1, abs=0.05)
    assert result(answer, "terminal_voltage/a") == pytest.approx(5.3, abs=0.05)
    assert result(answer, "bond_current/b") == pytest.approx(result(answer, "bond_current/a") / 2)


def test_numbers_of_a_riser_are_those_of_the_calculator() -> None:
    more = {"name": "d", "bond_ohm": 0.1, "pen_ohm": 0.2, "loads": [{"resistance_ohm": 20, "phase": "l2"}]}
    answer = riser(*FLATS, more, riser_ohm=5, source_electrode_ohm=2, u0_v=240)

    flats = (
        Flat("a", 0.04, None, (Load(240, 230 * 230 / 9200),)),
        Flat("b", 0.04, 0.15),
        Flat("c", 0.04, 0.15),
        Flat("d", 0.1, 0.2, (Load(240, 20, -120),)),
    )
    found = riser_currents(SharedRiser(flats, 5, 2))
    each = [number for pair in zip(found.bond_a, found.terminal_v, strict=True) for number in pair]
    assert [one.value for one in answer.results] == pytest.approx([found.riser_v, *each], rel=1e-9)


def test_each_step_of_a_riser_gives_a_result_from_what_it_shows() -> None:
    answer = riser(*FLATS)

    assert tuple(one.gives for one in answer.working[1:]) == answer.results
    assert answer.working[0].gives.value == 5.75
    for one in answer.working[2:]:
        assert math.hypot(*(shown.value for shown in one.inputs)) == pytest.approx(one.gives.value)


@pytest.mark.parametrize(
    ("calculation", "given", "pointer", "words"),
    [
        ("open-pen", {"loads": []}, "/loads", "a list of 1 to 60"),
        ("open-pen", {"loads": [SHOWER, {}]}, "/loads/1", "either `power_w` in watt or `resistance_ohm` in ohm"),
        ("open-pen", {"loads": [{"power_w": 1, "resistance_ohm": 1}]}, "/loads/0", "either `power_w` in watt or `resistance_ohm` in ohm"),
        ("open-pen", {"loads": [{"power_w": 0}]}, "/loads/0/power_w", "a number from 1 to 1000000"),
        ("open-pen", {"loads": [{**SHOWER, "rated_v": 400}]}, "/loads/0/rated_v", "a number from 100 to 300"),
        ("open-pen", {"loads": [{**SHOWER, "rated_v": 0.23}]}, "/loads/0/rated_v", "a number from 100 to 300"),
        ("open-pen", {"loads": [{"resistance_ohm": 5, "rated_v": 240}]}, "/loads/0/rated_v", "left out beside `resistance_ohm`"),
        ("open-pen", {"loads": [{**SHOWER, "phase": "l4"}]}, "/loads/0/phase", "one of `l1`, `l2`, `l3`"),
        ("open-pen", {"loads": [SHOWER], "earth_ohm": -1}, "/earth_ohm", "a number from 0"),
        ("shared-riser", {"flats": []}, "/flats", "a list of 1 to 30"),
        ("shared-riser", {"flats": [*FLATS, FLATS[0]]}, "/flats/3/name", "a name that none before it has"),
        (
            "shared-riser",
            {"flats": [{**FLATS[0], "loads": [{}]}]},
            "/flats/0/loads/0",
            "either `power_w` in watt or `resistance_ohm` in ohm",
        ),
        ("shared-riser", {"flats": [{"name": "a", "bond_ohm": 0.04}]}, "", "cut off"),
    ],
)
def test_what_means_nothing_is_refused_where_it_stands(calculation: str, given: dict[str, Any], pointer: str, words: str) -> None:
    with pytest.raises(Refused) as caught:
        worked(calculation, **{"source_electrode_ohm": 0, **given})

    (fault,) = caught.value.faults
    assert (fault.pointer, words in fault.detail) == (pointer, True), fault


def test_every_wrong_load_is_told_at_once() -> None:
    with pytest.raises(Refused) as caught:
        open_pen({}, SHOWER, {})

    assert [fault.pointer for fault in caught.value.faults] == ["/loads/0", "/loads/2"]

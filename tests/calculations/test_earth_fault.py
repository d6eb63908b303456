"""Touch voltages as calculations give them, against a table worked by two other solvers and against the calculator.

The table is for 230 V, 0.20 ohm of line and 0.15 ohm of return outside, R1 0.30 ohm, R2 0.46 ohm, all resistance, star
point at true earth. ngspice and gnucap computed it from netlists, apart from this code, and agreed with each other.
"""

import doctest
import json
from typing import Any

import pytest
from tests.calculations.worked import pack, result, worked
from tests.described import terms

from bondwright.calculations.answer import CalculationAnswer
from bondwright.calculations.catalogue import CALCULATIONS, calculate
from bondwright.calculations.faults import elements
from bondwright.calculators.networks.earth_fault import Circuit, EarthFault, Part, SupplementaryBond, Supply, fault_voltages
from bondwright.errors import Fault, Refused
from bondwright.installation.documents import read_document
from bondwright.members import replace

TN = {"line_ohm": 0.2, "return_ohm": 0.15, "source_electrode_ohm": 0}
TT = {"line_ohm": 0.2, "source_electrode_ohm": 10}
CIRCUIT = {"r1_ohm": 0.3, "r2_ohm": 0.46}
BARE_PIPE = {"name": "pipe", "to_earth_ohm": 20}
BONDED_PIPE = {**BARE_PIPE, "main_bond_ohm": 0.02}
CASE_TO_PIPE = {"a": "case", "b": "pipe", "ohm": 0.05}
TAKEN = ("case", "terminal", "earth", "star point", "winding", "source", "origin", "equipment")


def tn(**more: Any) -> CalculationAnswer:
    return worked("earth-fault", **{"system": "tn_s", "supply": TN, "circuit": CIRCUIT, **more})


def tt(**more: Any) -> CalculationAnswer:
    return worked("earth-fault", **{"system": "tt", "supply": TT, "circuit": CIRCUIT, "electrode_ohm": 100, **more})


def refused(**more: Any) -> tuple[Fault, ...]:
    with pytest.raises(Refused) as caught:
        tn(**more)
    return caught.value.faults


@pytest.mark.parametrize(
    ("given", "worked_v"),
    [
        pytest.param({"parts": [BARE_PIPE]}, 126.40, id="no bonding"),
        pytest.param({"parts": [BONDED_PIPE]}, 95.44, id="main bond"),
        pytest.param({"parts": [BONDED_PIPE], "supplementary_bonds": [CASE_TO_PIPE]}, 14.08, id="supplementary bond too"),
    ],
)
@pytest.mark.parametrize("system", ["tn_s", "tn_c_s"])
def test_case_to_pipe_is_the_worked_voltage(system: str, given: dict[str, Any], worked_v: float) -> None:
    assert result(tn(system=system, **given), "voltage/case/pipe") == pytest.approx(worked_v, abs=0.005)


@pytest.mark.parametrize(("bonding", "worked_v"), [("as_described", 14.08), ("main_bonds_only", 95.44), ("none", 126.40)])
def test_one_description_gives_the_worked_voltages_with_and_without_its_bonds(bonding: str, worked_v: float) -> None:
    answer = tn(parts=[BONDED_PIPE], supplementary_bonds=[CASE_TO_PIPE], bonding=bonding)

    assert result(answer, "voltage/case/pipe") == pytest.approx(worked_v, abs=0.005)


def test_fault_current_is_the_worked_one() -> None:
    assert result(tn(), "fault_current") == pytest.approx(207.2, abs=0.05)


def test_tt_without_a_bond_is_the_worked_voltage_at_a_current_that_no_fuse_would_see() -> None:
    answer = tt(parts=[{"name": "pipe", "to_earth_ohm": 1}])

    assert result(answer, "voltage/case/pipe") == pytest.approx(208.2, abs=0.05)
    assert result(answer, "fault_current") == pytest.approx(2.07, abs=0.005)


def test_tt_with_a_bond_is_the_worked_voltage_though_both_stand_far_above_true_earth() -> None:
    answer = tt(parts=[BONDED_PIPE])

    assert result(answer, "voltage/case/pipe") == pytest.approx(3.97, abs=0.005)
    assert result(answer, "voltage/terminal/earth") == pytest.approx(139, abs=0.5)
    assert result(answer, "voltage/pipe/earth") == pytest.approx(139, abs=0.5)


@pytest.mark.parametrize(("ohm", "printed_ma"), [(3000, 76), (1500, 153), (500, 460), (250, 920)])
def test_fault_through_a_body_draws_the_printed_current(ohm: float, printed_ma: float) -> None:
    """P. Cook (IEE, 2002): 230 V across 3000, 1500, 500 and 250 ohm; 76.7 is printed cut off."""
    answer = worked(
        "earth-fault",
        system="tn_s",
        supply={"line_ohm": 0, "return_ohm": 0, "source_electrode_ohm": 0},
        circuit={"r1_ohm": 0, "r2_ohm": 0, "fault_ohm": ohm},
    )

    assert result(answer, "fault_current") * 1000 == pytest.approx(printed_ma, abs=1)


def test_case_to_a_bonded_pipe_is_fault_current_times_r2() -> None:
    """Stated in a trade article (Voltimum, "equipotential bonding"): Uf = If R2. The bond carries next to nothing."""
    answer = tn(parts=[BONDED_PIPE])

    assert result(answer, "voltage/case/pipe") == pytest.approx(result(answer, "fault_current") * 0.46, rel=5e-4)


def test_numbers_are_those_of_the_calculator() -> None:
    answer = tn(
        u0_v=240,
        supply={"source_ohm": 0.01, **TN, "source_electrode_ohm": 3},
        circuit={**CIRCUIT, "fault_ohm": 0.1},
        electrode_ohm=40,
        parts=[BONDED_PIPE, {"name": "frame", "to_earth_ohm": 500}],
        supplementary_bonds=[{"a": "pipe", "b": "frame", "ohm": 0.03}],
        between=[{"a": "frame", "b": "case"}, {"a": "pipe", "b": "earth"}],
    )

    found = fault_voltages(
        EarthFault(
            Supply(240, 0.01, 0.2, 0.15, 3),
            Circuit(0.3, 0.46, 0.1),
            40,
            (Part("pipe", 20, 0.02), Part("frame", 500, None)),
            (SupplementaryBond("pipe", "frame", 0.03),),
        )
    )
    assert {one.name: one.value for one in answer.results} == pytest.approx(
        {
            "fault_current": found.fault_current_a,
            **{f"voltage/{name}/earth": found.between(name, "earth") for name in ("case", "terminal", "pipe", "frame")},
            "voltage/frame/case": found.between("frame", "case"),
        },
        rel=1e-9,
    )


def test_case_is_set_against_terminal_and_each_part_where_no_pair_is_asked_for() -> None:
    names = [one.name for one in tn(parts=[BARE_PIPE]).results]

    assert names == [
        "fault_current",
        "voltage/case/earth",
        "voltage/terminal/earth",
        "voltage/pipe/earth",
        "voltage/case/terminal",
        "voltage/case/pipe",
    ]


def test_first_step_shows_every_element_and_each_later_one_follows_from_what_it_shows() -> None:
    answer = tn(parts=[BONDED_PIPE])
    network, *voltages = answer.working

    shown = {one.name.partition(" (")[0]: (one.value, one.unit) for one in network.inputs}
    assert shown == {
        "mains": (230, "V"),
        "source": (0, "ohm"),
        "line": (0.2, "ohm"),
        "r1": (0.3, "ohm"),
        "fault": (0, "ohm"),
        "r2": (0.46, "ohm"),
        "return": (0.15, "ohm"),
        "source electrode": (0, "ohm"),
        "pipe to earth": (20, "ohm"),
        "main bond to pipe": (0.02, "ohm"),
    }
    assert tuple(one.gives for one in answer.working) == answer.results
    for one in voltages:
        assert abs(one.inputs[0].value - one.inputs[1].value) == pytest.approx(one.gives.value)


def test_voltage_that_opposes_the_line_is_told_by_its_sign() -> None:
    """A line fallen to the ground: the current comes back through the electrode of the star point, below true earth."""
    fallen = tn(
        supply={**TN, "source_electrode_ohm": 2}, circuit={"r1_ohm": 0.3}, supplementary_bonds=[{"a": "case", "b": "earth", "ohm": 7.2}]
    )
    (told,) = (one for one in fallen.working if one.gives.name == "voltage/terminal/earth")

    assert told.inputs[0].value < 0 < told.gives.value
    assert "minus" in told.says


def test_nominal_voltage_of_the_pack_is_used_and_cited_where_none_is_given() -> None:
    assert [one.what for one in tn().sources] == ["nominal_voltage"]
    assert tn(u0_v=230).results == tn().results
    assert (tn(u0_v=230).sources, tn(u0_v=230).weakest_source) == ((), "none_needed")


def test_another_nominal_voltage_in_the_pack_changes_every_voltage_alike() -> None:
    was = pack().values["nominal_voltage"]
    other = replace(pack(), values={**pack().values, "nominal_voltage": replace(was, value=115)})
    asked = CALCULATIONS["earth-fault"]
    inputs, _ = read_document(json.dumps({"system": "tn_s", "supply": TN, "circuit": CIRCUIT}).encode(), asked.inputs, terms())

    halved = calculate(asked, inputs, other, lambda *_: [])

    assert [one.value for one in halved.results] == pytest.approx([one.value / 2 for one in tn().results])


@pytest.mark.parametrize("name", TAKEN)
def test_name_that_the_network_has_already_is_refused_at_its_place(name: str) -> None:
    (fault,) = refused(parts=[BARE_PIPE, {"name": name, "to_earth_ohm": 1}])

    assert fault.pointer == "/parts/1/name"
    assert all(f"`{taken}`" in fault.detail for taken in TAKEN)


@pytest.mark.parametrize(
    ("given", "pointer", "words"),
    [
        ({"supply": TT}, "/supply/return_ohm", "needed in TN"),
        ({"system": "tt", "electrode_ohm": 1}, "/supply/return_ohm", "leave it out in TT"),
        ({"system": "tt", "supply": TT}, "/electrode_ohm", "needed in TT"),
        ({"parts": [BARE_PIPE, BARE_PIPE]}, "/parts/1/name", "a name that none before it has"),
        ({"parts": [{"name": "frame"}]}, "/parts/0", "`to_earth_ohm` or `main_bond_ohm`, in ohm"),
        ({"parts": [{"name": "frame", "main_bond_ohm": 0.02}], "bonding": "none"}, "/parts/0", "`to_earth_ohm` or `main_bond_ohm`, in ohm"),
        ({"parts": [{"name": "-frame"}]}, "/parts/0/name", "such as `water pipe`"),
        ({"between": [{"a": "case", "b": "frame"}]}, "/between/0/b", "the name of one of the parts"),
        ({"between": [{"a": "case", "b": "case"}]}, "/between/0", "two that differ"),
        ({"supplementary_bonds": [{"a": "frame", "b": "case", "ohm": 1}]}, "/supplementary_bonds/0/a", "the name of one of the parts"),
        ({"supplementary_bonds": [{"a": "case", "b": "earth", "ohm": -1}]}, "/supplementary_bonds/0/ohm", "a number from 0 to 1000000000"),
        ({"u0_v": 0}, "/u0_v", "a number from 1 to 1000"),
        ({"parts": [BARE_PIPE] * 41}, "/parts", "a list of at most 40"),
    ],
)
def test_what_means_nothing_is_refused_where_it_stands(given: dict[str, Any], pointer: str, words: str) -> None:
    (fault,) = refused(**given)

    assert fault.pointer == pointer
    assert words in fault.detail


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"circuit": {**CIRCUIT, "r2_ohm": 0}, "supplementary_bonds": [{"a": "case", "b": "terminal", "ohm": 0}]}, "the ring that"),
        (
            {
                "parts": [{"name": "frame"}, {"name": "rail"}],
                "supplementary_bonds": [{"a": "frame", "b": "rail", "ohm": 0.1}],
            },
            "no path to earth must be zero; cut off: frame, rail",
        ),
    ],
)
def test_network_without_one_answer_is_refused_in_words(given: dict[str, Any], words: str) -> None:
    (fault,) = refused(**given)

    assert words in fault.detail


def test_docstring_examples_of_elements_give_what_they_show() -> None:
    results = doctest.testmod(elements)

    assert results.attempted > 0
    assert results.failed == 0

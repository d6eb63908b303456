"""Networks and faults that mean nothing are refused, in words that say what would be right."""

from collections.abc import Callable

import pytest

from bondwright.calculators.networks.earth_fault import (
    CASE,
    TERMINAL,
    Circuit,
    EarthFault,
    Part,
    SupplementaryBond,
    Supply,
    fault_network,
    fault_voltages,
)
from bondwright.calculators.networks.linear import Admittance, Branch, Network, Resistance, Source, joint, solve
from bondwright.calculators.networks.open_pen import (
    Flat,
    Load,
    OpenPen,
    SharedRiser,
    earth_resistance_at,
    open_pen_voltages,
    resistance_of_load,
    riser_currents,
)
from bondwright.calculators.ranges import OutOfRange

MAINS = Source("mains", "line", "earth", 230)
LOAD = Resistance("load", "line", "earth", 10)
NAN, INFINITE = float("nan"), float("inf")
SUPPLY = Supply(230, 0.1, 0.2, 0.15, 1)
CIRCUIT = Circuit(0.3, 0.46, 0)


def network(*branches: Branch, nodes: tuple[str, ...] = ("earth", "line")) -> Network:
    return Network("earth", nodes, branches)


@pytest.mark.parametrize(
    ("build", "words"),
    [
        (lambda: network(MAINS, LOAD, nodes=("line",)), "number of nodes called earth is 0"),
        (lambda: network(MAINS, Resistance("bond", "line", "pip", 1)), "number of nodes called pip is 0; it must be one of: earth, line"),
        (lambda: network(MAINS, LOAD, nodes=("earth", "line", "line")), "number of nodes called line is 2"),
        (lambda: network(MAINS, LOAD, LOAD), "number of branches called load is 2"),
        (lambda: network(MAINS, Resistance("loop", "line", "line", 1)), "number of nodes that branch loop joins is 1"),
        (
            lambda: network(MAINS, LOAD, Resistance("bond", "pipe", "tap", 1), nodes=("earth", "line", "pipe", "tap")),
            "no path to earth is 2; it must be zero; cut off: pipe, tap",
        ),
        (lambda: network(MAINS, Source("other", "earth", "line", 110)), "resistance of the ring that other closes is 0"),
    ],
    ids=["no reference", "unknown node", "node twice", "branch twice", "branch on one node", "floating nodes", "ring of sources"],
)
def test_a_network_without_one_answer_is_refused(build: Callable[[], Network], words: str) -> None:
    with pytest.raises(OutOfRange, match=words):
        build()


@pytest.mark.parametrize("ohm", [0, -1, NAN, INFINITE])
def test_a_resistance_that_is_not_positive_and_finite_is_refused(ohm: float) -> None:
    with pytest.raises(OutOfRange, match=r"resistance bond is .* finite and above zero"):
        Resistance("bond", "a", "b", ohm)


@pytest.mark.parametrize("ohm", [-1, NAN, INFINITE])
def test_a_joint_that_is_negative_or_not_finite_is_refused(ohm: float) -> None:
    with pytest.raises(OutOfRange, match=r"resistance bond is .* finite and zero or more"):
        joint("bond", "a", "b", ohm)


@pytest.mark.parametrize("siemens", [0, -1, complex(-1e-9, 1), complex(0, NAN), complex(INFINITE, 0)])
def test_an_admittance_that_is_no_passive_one_is_refused(siemens: complex) -> None:
    with pytest.raises(OutOfRange, match="admittance load"):
        Admittance("load", "a", "b", siemens)


@pytest.mark.parametrize("volt", [NAN, INFINITE, complex(0, INFINITE), complex(NAN, 1)])
def test_a_source_that_is_not_finite_is_refused(volt: complex) -> None:
    with pytest.raises(OutOfRange, match="voltage of source mains"):
        Source("mains", "a", "b", volt)


@pytest.mark.parametrize("detuned", [0, 1e-15])
def test_a_network_in_resonance_is_refused(detuned: float) -> None:
    coil, capacitor = Admittance("coil", "tap", "earth", -1j), Admittance("capacitor", "line", "tap", 1j * (1 + detuned))

    with pytest.raises(OutOfRange, match="resonates"):
        solve(network(MAINS, coil, capacitor, nodes=("earth", "line", "tap")))


def test_a_network_beside_resonance_is_solved() -> None:
    coil, capacitor = Admittance("coil", "tap", "earth", -1j), Admittance("capacitor", "line", "tap", 2j)

    solved = solve(network(MAINS, coil, capacitor, nodes=("earth", "line", "tap")))

    assert abs(solved.voltage("tap", "earth")) == pytest.approx(460)


@pytest.mark.parametrize("ohm", [1e-320, 1e-300])
def test_a_result_too_large_for_the_arithmetic_is_refused(ohm: float) -> None:
    with pytest.raises(OutOfRange, match="too small or too large"):
        solve(network(Source("mains", "line", "earth", 1e200), Resistance("load", "line", "earth", ohm)))


def test_asking_for_an_unknown_node_or_branch_is_refused() -> None:
    solved = solve(network(MAINS, LOAD))

    with pytest.raises(OutOfRange, match="number of nodes called pipe is 0; it must be one of: earth, line"):
        solved.voltage("line", "pipe")
    with pytest.raises(OutOfRange, match="number of branches called bond is 0; it must be one of: mains, load"):
        solved.current("bond")


def test_a_network_of_the_reference_alone_has_no_voltage() -> None:
    assert solve(Network("earth", ("earth",), ())).node_v == {"earth": 0}


def test_a_branch_to_nowhere_carries_nothing() -> None:
    """Nothing is in doubt where all currents are zero."""
    solved = solve(network(MAINS, Resistance("bond", "line", "pipe", 1e-4), nodes=("earth", "line", "pipe")))

    assert solved.voltage("pipe", "earth") == pytest.approx(230)
    assert abs(solved.current("bond")) < 1e-8


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (EarthFault(Supply(0, 0, 0.2, 0.15, 0), CIRCUIT, None), "u0_v is 0"),
        (EarthFault(Supply(NAN, 0, 0.2, 0.15, 0), CIRCUIT, None), "u0_v is nan"),
        (EarthFault(SUPPLY, Circuit(-0.3, 0.46, 0), None), "resistance r1 is -0.3"),
        (EarthFault(SUPPLY, CIRCUIT, INFINITE), "resistance electrode is inf"),
        (EarthFault(SUPPLY, CIRCUIT, None, (Part("pipe", None, None),)), "cut off: pipe"),
        (EarthFault(SUPPLY, CIRCUIT, None, (Part("pipe", 20, None), Part("pipe", 20, None))), "nodes called pipe is 2"),
        (EarthFault(SUPPLY, CIRCUIT, None, (Part("origin", 20, None),)), "nodes called origin is 2"),
        (EarthFault(SUPPLY, CIRCUIT, None, (), (SupplementaryBond(CASE, "pipe", 0.05),)), "parts called pipe is 0"),
        (EarthFault(SUPPLY, CIRCUIT, None, (), (SupplementaryBond(CASE, "origin", 0.05),)), "parts called origin is 0"),
        (EarthFault(SUPPLY, CIRCUIT, None, (), (SupplementaryBond(CASE, CASE, 0.05),)), "that branch supplementary bond 1 joins is 1"),
        (EarthFault(Supply(230, 0, 0, 0, 0), Circuit(0, 0, 0), None), "resistance of the ring that return closes is 0"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_a_fault_that_means_nothing_is_refused(fault: EarthFault, words: str) -> None:
    with pytest.raises(OutOfRange, match=words):
        fault_network(fault)


def test_asking_for_an_unknown_part_is_refused() -> None:
    found = fault_voltages(EarthFault(SUPPLY, CIRCUIT, None))

    with pytest.raises(OutOfRange, match="parts called pipe is 0; it must be one of: earth, case, terminal"):
        found.between(TERMINAL, "pipe")


@pytest.mark.parametrize(
    ("loads", "words"),
    [
        ((), "number of loads is 0"),
        ((Load(0, 10),), "u0_v is 0"),
        ((Load(230, 0),), "impedance of a load is 0"),
        ((Load(230, complex(0, INFINITE)),), "impedance of a load is inf"),
        ((Load(230, 1e-320),), "admittance load 1 of terminal is inf"),
        ((Load(230, -10),), "conductance of admittance load 1 of terminal is -0.1"),
        ((Load(230, 10, NAN),), "angle_deg is nan"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_loads_that_mean_nothing_are_refused(loads: tuple[Load, ...], words: str) -> None:
    with pytest.raises(OutOfRange, match=words):
        open_pen_voltages(OpenPen(loads, 20, 0))
    with pytest.raises(OutOfRange, match=words):
        earth_resistance_at(70, loads, 0)


def test_a_load_through_which_nothing_could_ever_flow_is_refused() -> None:
    with pytest.raises(OutOfRange, match="current_of_a_dead_earth_path is 0"):
        earth_resistance_at(1e-201, (Load(1e-200, 1e150),), 0)


@pytest.mark.parametrize(("voltage_v", "source_electrode_ohm"), [(0, 0), (-70, 0), (NAN, 0), (70, -1), (70, INFINITE), (1e-300, 0)])
def test_a_limit_that_means_nothing_is_refused(voltage_v: float, source_electrode_ohm: float) -> None:
    with pytest.raises(OutOfRange):
        earth_resistance_at(voltage_v, (Load(230, 10),), source_electrode_ohm)


@pytest.mark.parametrize(("u0_v", "power_w"), [(0, 1), (230, 0), (230, -1), (NAN, 1), (1e200, 1), (1e-200, 1)])
def test_a_load_of_impossible_inputs_is_refused(u0_v: float, power_w: float) -> None:
    with pytest.raises(OutOfRange):
        resistance_of_load(u0_v, power_w)


@pytest.mark.parametrize(
    ("flats", "words"),
    [
        ((Flat("a", -0.04, 0.15),), "resistance bond of a is -0.04"),
        ((Flat("a", 0.04, INFINITE),), "resistance PEN of a is inf"),
        ((Flat("a", 0.04, 0.15), Flat("a", 0.04, 0.15)), "called terminal of a is 2"),
        ((Flat("a", 0.04, None),), "cut off: riser, terminal of a"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_flats_that_mean_nothing_are_refused(flats: tuple[Flat, ...], words: str) -> None:
    with pytest.raises(OutOfRange, match=words):
        riser_currents(SharedRiser(flats, None, 0))

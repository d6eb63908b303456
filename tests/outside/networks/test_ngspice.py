"""Random networks solved by our solver and by ngspice, a simulator with another method and no code in common."""

from collections.abc import Callable

import pytest
from tests.outside.networks.drawn import Drawn, drawn
from tests.outside.networks.spice import HERTZ, answers, needs_ngspice

from bondwright.calculators.networks.linear import Admittance, Network, Solution, Source, solve
from bondwright.members import replace

pytestmark = needs_ngspice

RELATIVE = 1e-6
ABSOLUTE = 1e-9  # volt or ampere: values that are zero but for rounding
IN_PHASE = [drawn(seed, phasors=False) for seed in range(150)]
PHASORS = [drawn(seed, phasors=True) for seed in range(150)]


@pytest.fixture(scope="module")
def in_phase(tmp_path_factory: pytest.TempPathFactory) -> dict[str, complex]:
    return _answers("op", IN_PHASE, tmp_path_factory)


@pytest.fixture(scope="module")
def phasors(tmp_path_factory: pytest.TempPathFactory) -> dict[str, complex]:
    return _answers(f"ac lin 1 {HERTZ} {HERTZ}", PHASORS, tmp_path_factory)


def _answers(analysis: str, networks: list[Drawn], folders: pytest.TempPathFactory) -> dict[str, complex]:
    netlist = [line for one in networks for line in one.netlist]
    asked = [name for one in networks for name in (*one.node_asked.values(), *one.source_asked.values())]
    return answers(analysis, netlist, asked, folders.mktemp("ngspice"))


def differing(networks: list[Drawn], theirs: dict[str, complex], solver: Callable[[Network], Solution]) -> list[str]:
    """Each voltage and source current in which `solver` and ngspice differ."""
    faults = []
    for one in networks:
        ours = solver(one.network)
        pairs = [(asked, ours.node_v[node]) for node, asked in one.node_asked.items()]
        pairs += [(asked, ours.branch_a[source]) for source, asked in one.source_asked.items()]
        faults += [asked for asked, value in pairs if abs(value - theirs[asked]) > RELATIVE * abs(theirs[asked]) + ABSOLUTE]
    return faults


def forgetting_a_branch(network: Network) -> Solution:
    """A wrong solver: the last branch carries next to nothing."""
    last = network.branches[-1]
    return solve(replace(network, branches=(*network.branches[:-1], Admittance(last.name, last.a, last.b, 1e-12))))


def with_a_source_turned_round(network: Network) -> Solution:
    """A wrong solver: the first source is taken the other way."""
    first = next(branch for branch in network.branches if isinstance(branch, Source))
    turned = tuple(replace(branch, volt=-first.volt) if branch is first else branch for branch in network.branches)
    return solve(replace(network, branches=turned))


def without_angles(network: Network) -> Solution:
    """A wrong solver: the angles of admittances are left out."""
    flat = tuple(replace(branch, siemens=abs(branch.siemens)) if isinstance(branch, Admittance) else branch for branch in network.branches)
    return solve(replace(network, branches=flat))


def test_150_networks_in_phase_have_the_voltages_and_currents_of_ngspice(in_phase: dict[str, complex]) -> None:
    assert differing(IN_PHASE, in_phase, solve) == []


def test_150_networks_of_phasors_have_the_voltages_and_currents_of_ngspice(phasors: dict[str, complex]) -> None:
    assert differing(PHASORS, phasors, solve) == []


@pytest.mark.parametrize("wrong", [forgetting_a_branch, with_a_source_turned_round])
def test_a_wrong_solver_in_phase_is_caught(in_phase: dict[str, complex], wrong: Callable[[Network], Solution]) -> None:
    assert len(differing(IN_PHASE, in_phase, wrong)) > len(IN_PHASE)


@pytest.mark.parametrize("wrong", [forgetting_a_branch, with_a_source_turned_round, without_angles])
def test_a_wrong_solver_of_phasors_is_caught(phasors: dict[str, complex], wrong: Callable[[Network], Solution]) -> None:
    assert len(differing(PHASORS, phasors, wrong)) > len(PHASORS)

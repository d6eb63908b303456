"""Laws of fault networks: Kirchhoff and Ohm, exact arithmetic, scaling, and what a bond or a better earth may never do."""

import cmath
import math
import random
from collections.abc import Callable

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from tests.outside.networks.exact import ROUNDING, breaches, exactly, near

from bondwright.calculators.networks.earth_fault import CASE, EARTH, Circuit, EarthFault, Part, SupplementaryBond, Supply, fault_voltages
from bondwright.calculators.networks.linear import WORST_ERROR, Admittance, Branch, Network, Resistance, Solution, Source, solve
from bondwright.calculators.networks.open_pen import (
    Flat,
    Load,
    OpenPen,
    SharedRiser,
    earth_resistance_at,
    open_pen_voltages,
    riser_currents,
)
from bondwright.calculators.ranges import OutOfRange
from bondwright.members import replace

Solver = Callable[[Network], Solution]


def ohms(lowest: float, highest: float) -> st.SearchStrategy[float]:
    """Resistances spread evenly over their powers of ten."""
    return st.floats(math.log10(lowest), math.log10(highest)).map(lambda power: float(10**power))


ORDINARY = ohms(1e-2, 1e4)
FAR_APART = ohms(1e-6, 1e9)
voltages = st.floats(100, 300)
conductors = ohms(1e-3, 3)
grounds = ohms(0.1, 1e5)
angles = st.sampled_from([0.0, -120.0, 120.0])
passive = st.builds(complex, ohms(1e-2, 1e4), st.floats(-1000, 1000))


@st.composite
def networks(draw: st.DrawFn, *, phasors: bool = False, resistances: st.SearchStrategy[float] = ORDINARY) -> Network:
    """A connected network of 2 to 6 nodes, sources and loads of every kind on a tree, and more loads across it."""

    def load(name: str, a: str, b: str) -> Branch:
        if phasors and draw(st.booleans()):
            return Admittance(name, a, b, 1 / draw(passive))
        return Resistance(name, a, b, draw(resistances))

    nodes = [f"n{at}" for at in range(draw(st.integers(2, 6)))]
    ends = [(nodes[at], draw(st.sampled_from(nodes[:at]))) for at in range(1, len(nodes))]
    branches: list[Branch] = []
    for at, (a, b) in enumerate(ends):
        branches.append(_source(draw, f"b{at}", a, b, phasors) if at == 0 or draw(st.booleans()) else load(f"b{at}", a, b))
    for at in range(draw(st.integers(0, 5))):
        a, b = draw(st.permutations(nodes))[:2]
        branches.append(load(f"x{at}", a, b))
    return Network("n0", tuple(nodes), tuple(branches))


def _source(draw: st.DrawFn, name: str, a: str, b: str, phasors: bool) -> Source:
    volt = draw(st.one_of(st.just(0.0), voltages))
    return Source(name, a, b, cmath.rect(volt, math.radians(draw(angles))) if phasors else volt)


def differing(network: Network, solver: Solver, within: float) -> list[str]:
    """Each node and branch that `solver` gives another value than exact arithmetic, by that share of the largest value or of 1."""
    solved = solver(network)
    voltages_v = {node: volt for node, volt in solved.node_v.items() if node != network.reference}
    exact = [float(value) for value in exactly(network)]
    faults = []
    for ours, theirs in ((voltages_v, exact[: len(voltages_v)]), (solved.branch_a, exact[len(voltages_v) :])):
        allowed = within * max(1, *map(abs, theirs))
        faults += [name for (name, value), right in zip(ours.items(), theirs, strict=True) if abs(value - right) > allowed]
    return faults


def forgetting_a_branch(network: Network) -> Solution:
    """A wrong solver: the last branch carries nothing."""
    solved = solve(replace(network, branches=network.branches[:-1]))
    return Solution(solved.node_v, {**solved.branch_a, network.branches[-1].name: 0j})


def turning_a_current(network: Network) -> Solution:
    """A wrong solver: the current of the last branch has the wrong sign."""
    solved = solve(network)
    last = network.branches[-1].name
    return Solution(solved.node_v, {**solved.branch_a, last: -solved.branch_a[last]})


WELL_KNOWN = Network(
    "earth",
    ("earth", "line", "case"),
    (
        Source("mains", "line", "earth", 230),
        Resistance("r1", "line", "case", 0.5),
        Resistance("r2", "case", "earth", 0.6),
        Resistance("pipe", "case", "earth", 20),
    ),
)


@given(st.one_of(networks(), networks(phasors=True)))
def test_currents_add_up_at_every_node_and_every_branch_keeps_its_law(network: Network) -> None:
    assert breaches(network, solve(network)) == []


@pytest.mark.parametrize("wrong", [forgetting_a_branch, turning_a_current])
def test_a_wrong_solver_breaks_a_law(wrong: Solver) -> None:
    assert breaches(WELL_KNOWN, solve(WELL_KNOWN)) == []
    assert breaches(WELL_KNOWN, wrong(WELL_KNOWN)) != []


@settings(max_examples=60)
@given(networks())
def test_voltages_and_currents_are_those_of_exact_arithmetic(network: Network) -> None:
    assert differing(network, solve, ROUNDING) == []


@settings(max_examples=60)
@given(networks(resistances=FAR_APART))
def test_resistances_far_apart_give_what_was_promised_or_a_refusal(network: Network) -> None:
    try:
        solve(network)
    except OutOfRange as refusal:
        assert "far apart" in str(refusal)
    else:
        assert differing(network, solve, WORST_ERROR) == []


@pytest.mark.parametrize("seed", range(40))
def test_resistances_far_apart_cost_no_digits_where_the_reference_is_tied_firmly(seed: int) -> None:
    draw = random.Random(seed)
    nodes = [f"n{at}" for at in range(8)]
    ends = [(nodes[at], draw.choice(nodes[:at])) for at in range(2, 8)] + [tuple(draw.sample(nodes, 2)) for _ in range(6)]
    loads = [Resistance(f"b{at}", a, b, 10 ** draw.uniform(-6, 9)) for at, (a, b) in enumerate(ends)]
    network = Network("n0", tuple(nodes), (Source("mains", "n1", "n0", 230), *loads))

    ours = solve(network).node_v

    assert max(abs(ours[node] - float(right)) for node, right in zip(nodes[1:], exactly(network), strict=False)) < 2e-13


def test_a_floating_ring_of_great_current_is_refused() -> None:
    """What rounding leaves of 2.3e8 A would be tens of volts across the one resistance to the reference."""
    ring = (Source("mains", "a", "b", 230), Resistance("short", "a", "b", 1e-6), Resistance("leak", "b", "earth", 1e9))

    with pytest.raises(OutOfRange, match="far apart"):
        solve(Network("earth", ("earth", "a", "b"), ring))


def test_a_wrong_solver_differs_from_exact_arithmetic() -> None:
    assert differing(WELL_KNOWN, solve, ROUNDING) == []
    assert differing(WELL_KNOWN, forgetting_a_branch, ROUNDING) == ["case", "mains", "r1", "r2", "pipe"]


def test_a_pipe_beside_a_thick_conductor_is_not_lost_in_rounding() -> None:
    """Conductances of 1e4 and 1e-9 siemens meet at one node; adding them up would leave three digits of the smaller."""
    far_apart = Network(
        "earth",
        ("earth", "line", "case", "pipe"),
        (
            Source("mains", "line", "earth", 230),
            Resistance("leak", "line", "case", 1e9),
            Resistance("bond", "case", "pipe", 1e-4),
            Resistance("ground", "pipe", "earth", 1e9),
        ),
    )

    assert solve(far_apart).node_v["pipe"] == pytest.approx(115, rel=1e-12)


@given(networks(phasors=True), st.floats(0.1, 10))
def test_sources_times_a_factor_give_everything_times_that_factor(network: Network, factor: float) -> None:
    scaled = tuple(replace(branch, volt=branch.volt * factor) if isinstance(branch, Source) else branch for branch in network.branches)

    once, more = solve(network), solve(replace(network, branches=scaled))

    assert near(more.node_v, {node: factor * volt for node, volt in once.node_v.items()})
    assert near(more.branch_a, {name: factor * ampere for name, ampere in once.branch_a.items()})


@given(networks(), st.floats(0.1, 10))
def test_resistances_times_a_factor_leave_the_voltages(network: Network, factor: float) -> None:
    scaled = tuple(replace(branch, ohm=branch.ohm * factor) if isinstance(branch, Resistance) else branch for branch in network.branches)

    once, more = solve(network), solve(replace(network, branches=scaled))

    assert near(more.node_v, once.node_v)
    assert near({name: factor * ampere for name, ampere in more.branch_a.items()}, once.branch_a)


@given(networks(phasors=True))
def test_all_sources_together_give_the_sum_of_what_each_gives_alone(network: Network) -> None:
    sources = [branch.name for branch in network.branches if isinstance(branch, Source)]
    alone = [solve(_with_only(network, source)) for source in sources]

    together = solve(network)

    assert near(together.node_v, {node: sum(one.node_v[node] for one in alone) for node in network.nodes})
    assert near(together.branch_a, {name: sum(one.branch_a[name] for one in alone) for name in together.branch_a})


@given(networks(phasors=True), st.data())
def test_order_and_reference_change_no_voltage_between_nodes(network: Network, data: st.DataObject) -> None:
    nodes = tuple(data.draw(st.permutations(network.nodes)))
    other = Network(data.draw(st.sampled_from(nodes)), nodes, tuple(data.draw(st.permutations(network.branches))))

    one, two = solve(network), solve(other)

    assert near({node: one.voltage(node, nodes[0]) for node in nodes}, {node: two.voltage(node, nodes[0]) for node in nodes})
    assert near(one.branch_a, {name: two.branch_a[name] for name in one.branch_a})


def _with_only(network: Network, source: str) -> Network:
    """The same network, with every other source at 0 V."""
    quiet = (replace(one, volt=0) if isinstance(one, Source) and one.name != source else one for one in network.branches)
    return replace(network, branches=tuple(quiet))


supplies = st.builds(Supply, voltages, st.one_of(st.just(0.0), conductors), conductors, conductors, st.one_of(st.just(0.0), ohms(0.1, 300)))
circuits = st.builds(Circuit, conductors, conductors, st.one_of(st.just(0.0), ohms(1e-3, 100)))
tn_faults = st.builds(
    EarthFault, supplies, circuits, st.one_of(st.none(), grounds), st.tuples(st.builds(Part, st.just("pipe"), grounds, st.none()))
)


@given(tn_faults, st.one_of(st.none(), conductors), conductors)
def test_a_bond_from_case_to_pipe_never_raises_the_voltage_between_them(fault: EarthFault, main_bond: float | None, bond: float) -> None:
    before = replace(fault, parts=(replace(fault.parts[0], main_bond_ohm=main_bond),))
    after = replace(before, supplementary_bonds=(SupplementaryBond(CASE, "pipe", bond),))

    assert _touch(after) <= _touch(before) * (1 + ROUNDING)


@given(tn_faults, conductors)
def test_a_main_bond_to_a_pipe_never_raises_the_voltage_from_case_to_pipe(fault: EarthFault, bond: float) -> None:
    after = replace(fault, parts=(replace(fault.parts[0], main_bond_ohm=bond),))

    assert _touch(after) <= _touch(fault) * (1 + ROUNDING)


@given(tn_faults, conductors, conductors)
def test_a_thinner_supplementary_bond_never_lowers_the_voltage(fault: EarthFault, bond: float, more: float) -> None:
    thick, thin = (replace(fault, supplementary_bonds=(SupplementaryBond(CASE, "pipe", ohm),)) for ohm in (bond, bond + more))

    assert _touch(thick) <= _touch(thin) * (1 + ROUNDING)


@given(tn_faults)
def test_no_voltage_of_a_fault_exceeds_that_of_the_supply(fault: EarthFault) -> None:
    found = fault_voltages(fault)

    assert max(found.between(a, b) for a in found.to_earth_v for b in (*found.to_earth_v, EARTH)) <= fault.supply.u0_v * (1 + ROUNDING)


def _touch(fault: EarthFault) -> float:
    return fault_voltages(fault).between(CASE, "pipe")


loads = st.lists(st.builds(Load, voltages, passive, angles), min_size=1, max_size=4).map(tuple)
stars = st.one_of(st.just(0.0), ohms(0.1, 300))


@given(loads, stars, grounds, grounds)
@example((Load(230, 5), Load(230, 8, -120), Load(230, 20, 120)), 0.0, 20.0, 1.0)
def test_a_better_earth_never_raises_the_voltage_of_a_broken_pen(
    at_work: tuple[Load, ...], star_ohm: float, earth_ohm: float, more_ohm: float
) -> None:
    better, worse = (open_pen_voltages(OpenPen(at_work, ohm, star_ohm)) for ohm in (earth_ohm, earth_ohm + more_ohm))

    assert better.terminal_v <= worse.terminal_v * (1 + ROUNDING) + ROUNDING
    assert better.earth_current_a * (1 + ROUNDING) + ROUNDING >= worse.earth_current_a


@given(loads, stars, st.floats(0.01, 0.99))
def test_the_resistance_given_for_a_voltage_brings_the_terminal_to_it(at_work: tuple[Load, ...], star_ohm: float, share: float) -> None:
    limit = share * open_pen_voltages(OpenPen(at_work, None, star_ohm)).terminal_v
    assume(limit > 1)  # loads that balance bring about no voltage to speak of

    ohm = earth_resistance_at(limit, at_work, star_ohm)

    assert open_pen_voltages(OpenPen(at_work, ohm, star_ohm)).terminal_v == pytest.approx(limit, rel=1e-6)
    assert open_pen_voltages(OpenPen(at_work, ohm / 2, star_ohm)).terminal_v < limit


@given(st.lists(st.tuples(conductors, conductors), min_size=1, max_size=4), conductors, ohms(3, 300))
def test_another_neighbour_on_the_riser_never_raises_the_terminal_of_the_flat_without_its_pen(
    neighbours: list[tuple[float, float]], bond_ohm: float, load_ohm: float
) -> None:
    broken = Flat("broken", bond_ohm, None, (Load(230, load_ohm),))
    flats = [Flat(f"flat {at}", bond, pen) for at, (bond, pen) in enumerate(neighbours)]
    some, all_of_them = (riser_currents(SharedRiser((broken, *whole), 50, 0)) for whole in (flats[:-1], flats))

    assert all_of_them.terminal_v[0] <= some.terminal_v[0] * (1 + ROUNDING)
    assert all_of_them.bond_a[0] * (1 + ROUNDING) >= some.bond_a[0]

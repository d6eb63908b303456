"""Which way leaving out the reactance errs: our figures of resistance alone, beside ngspice on the same network with coils in it.

Netlists are written out by hand; node 0 is true earth, and a source `vi…` of no voltage measures the current asked for. Each
situation is drawn 40 times; what is stated holds in every one of them, and what is called uncertain goes both ways among them.
"""

import math
import random
from collections.abc import Callable
from dataclasses import dataclass, field

import pytest
from tests.outside.networks.spice import HERTZ, answers, needs_ngspice

from bondwright.calculators.disconnection import greatest_loop_impedance
from bondwright.calculators.networks.earth_fault import CASE, EARTH, TERMINAL, Circuit, EarthFault, Part, Supply, fault_voltages
from bondwright.calculators.networks.open_pen import (
    Flat,
    Load,
    OpenPen,
    SharedRiser,
    open_pen_voltages,
    resistance_of_load,
    riser_currents,
)

pytestmark = needs_ngspice

DRAWS = 40
ROUNDING = 1e-6
U0_V = 230.0


@dataclass(frozen=True, slots=True)
class Beside:
    """Our figures by the expression that asks ngspice for the same: those that reactance lowers, raises, or moves either way."""

    netlist: str
    lowered: dict[str, float] = field(default_factory=dict)
    raised: dict[str, float] = field(default_factory=dict)
    moved: dict[str, float] = field(default_factory=dict)

    @property
    def asked(self) -> tuple[str, ...]:
        return (*self.lowered, *self.raised, *self.moved)


def small(draw: random.Random) -> float:
    """A conductor: 5 milliohm to 2 ohm."""
    return draw.uniform(0.005, 2)


def large(draw: random.Random) -> float:
    """A path through the ground: 1 to 3000 ohm."""
    return float(10 ** draw.uniform(0, 3.5))


def coil(draw: random.Random, ohm: float) -> float:
    """Henry of a coil whose reactance is a twentieth to three times a resistance."""
    return ohm * float(10 ** draw.uniform(-1.3, 0.5)) / (2 * math.pi * HERTZ)


def _fault(p: str, draw: random.Random, where: str) -> Beside:
    """TN with a dead fault, an electrode and an unbonded pipe, with a coil in the line, in the return, in R2, or in all three."""
    u, (zl, zp, r2) = draw.uniform(200, 260), [small(draw) for _ in range(3)]
    electrode, star, pipe = (large(draw) for _ in range(3))
    found = fault_voltages(EarthFault(Supply(u, 0, zl, zp, star), Circuit(0, r2, 0), electrode, (Part("pipe", pipe, None),)))
    line, back, own = (coil(draw, ohm) if where in {name, "all"} else 0.0 for name, ohm in (("line", zl), ("return", zp), ("r2", r2)))
    netlist = f"""
        v{p} {p}live {p}star dc 0 ac {u!r} 0
        r{p}1 {p}live {p}a {zl!r}
        l{p}1 {p}a {p}b {line + 1e-15!r}
        vi{p} {p}b {p}case dc 0 ac 0
        r{p}2 {p}case {p}c {r2!r}
        l{p}2 {p}c {p}met {own + 1e-15!r}
        r{p}3 {p}met {p}d {zp!r}
        l{p}3 {p}d {p}star {back + 1e-15!r}
        r{p}4 {p}met 0 {electrode!r}
        r{p}5 {p}star 0 {star!r}
        r{p}6 {p}pipe 0 {pipe!r}"""
    current = {f"i(vi{p})": found.fault_current_a}
    case, terminal = {f"v({p}case)": found.between(CASE, EARTH)}, {f"v({p}met)": found.between(TERMINAL, EARTH)}
    own_drop, to_pipe = {f"v({p}case,{p}met)": found.between(CASE, TERMINAL)}, {f"v({p}case,{p}pipe)": found.between(CASE, "pipe")}
    match where:
        case "line":
            return Beside(netlist, lowered=current | case | terminal | own_drop | to_pipe)
        case "return":
            return Beside(netlist, lowered=current | own_drop, raised=terminal, moved=case | to_pipe)
        case "r2":
            return Beside(netlist, lowered=current | terminal, raised=own_drop | case | to_pipe)
        case _:
            return Beside(netlist, lowered=current, moved=case | own_drop)


def fault_with_a_coil_in_the_line(p: str, draw: random.Random) -> Beside:
    return _fault(p, draw, "line")


def fault_with_a_coil_in_the_return(p: str, draw: random.Random) -> Beside:
    return _fault(p, draw, "return")


def fault_with_a_coil_in_its_protective_conductor(p: str, draw: random.Random) -> Beside:
    return _fault(p, draw, "r2")


def fault_with_coils_everywhere(p: str, draw: random.Random) -> Beside:
    return _fault(p, draw, "all")


def loop_at_its_limit_by_resistance_alone(p: str, draw: random.Random) -> Beside:
    """A loop whose resistance is just the greatest loop impedance, at the least voltage, and which has reactance besides."""
    operating_a = draw.uniform(20, 1000)
    limit = greatest_loop_impedance(U0_V, operating_a, 0.95)
    netlist = f"""
        v{p} {p}a 0 dc 0 ac {U0_V * 0.95!r} 0
        r{p} {p}a {p}b {limit!r}
        l{p} {p}b {p}c {coil(draw, limit)!r}
        vi{p} {p}c 0 dc 0 ac 0"""
    return Beside(netlist, lowered={f"i(vi{p})": operating_a})


def _open_pen(p: str, draw: random.Random, *, in_load: float, in_earth: float, ohm: float, ours_ohm: float) -> Beside:
    u, earth, star = draw.uniform(200, 260), large(draw), draw.uniform(0.1, 20)
    found = open_pen_voltages(OpenPen((Load(u, ours_ohm),), earth, star))
    netlist = f"""
        v{p} {p}line {p}star dc 0 ac {u!r} 0
        r{p}1 {p}line {p}a {ohm!r}
        l{p}1 {p}a {p}met {in_load + 1e-15!r}
        r{p}2 {p}met {p}b {earth!r}
        l{p}2 {p}b {p}c {in_earth * earth + 1e-15!r}
        vi{p} {p}c 0 dc 0 ac 0
        r{p}3 {p}star 0 {star!r}"""
    terminal, current = {f"v({p}met)": found.terminal_v}, {f"i(vi{p})": found.earth_current_a}
    if in_earth:
        return Beside(netlist, lowered=current, raised=terminal)
    if ohm == ours_ohm:
        return Beside(netlist, lowered=terminal | current)
    return Beside(netlist, raised=terminal | current)


def open_pen_with_a_coil_beside_the_resistance_of_its_load(p: str, draw: random.Random) -> Beside:
    ohm = draw.uniform(3, 200)
    return _open_pen(p, draw, in_load=coil(draw, ohm), in_earth=0, ohm=ohm, ours_ohm=ohm)


def open_pen_with_a_coil_in_the_path_to_earth(p: str, draw: random.Random) -> Beside:
    ohm = draw.uniform(3, 200)
    return _open_pen(p, draw, in_load=0, in_earth=coil(draw, 1), ohm=ohm, ours_ohm=ohm)


def open_pen_with_a_load_of_watts_and_a_power_factor(p: str, draw: random.Random) -> Beside:
    """The power is told in watt; at its rated voltage the load takes that much, and the current of its power factor."""
    power_w, power_factor = draw.uniform(200, 10_000), draw.uniform(0.5, 0.98)
    impedance = U0_V * U0_V * power_factor / power_w
    henry = impedance * math.sqrt(1 - power_factor * power_factor) / (2 * math.pi * HERTZ)
    ours = resistance_of_load(U0_V, power_w)
    return _open_pen(p, draw, in_load=henry, in_earth=0, ohm=impedance * power_factor, ours_ohm=ours)


def open_pen_on_three_lines(p: str, draw: random.Random) -> Beside:
    """Three loads on three lines, each with a coil beside its resistance."""
    u, (a, b, c), earth = U0_V, (draw.uniform(3, 200) for _ in range(3)), large(draw)
    found = open_pen_voltages(OpenPen((Load(u, a), Load(u, b, -120), Load(u, c, 120)), earth, 0))
    lines = [
        f"""
        v{p}{line} {p}{line} 0 dc 0 ac {u!r} {angle}
        r{p}{line} {p}{line} {p}m{line} {ohm!r}
        l{p}{line} {p}m{line} {p}met {coil(draw, ohm)!r}"""
        for line, angle, ohm in (("a", 0, a), ("b", -120, b), ("c", 120, c))
    ]
    return Beside("".join(lines) + f"\n        r{p}e {p}met 0 {earth!r}", moved={f"v({p}met)": found.terminal_v})


def _riser(p: str, draw: random.Random, *, metal: bool, ohm: float, ours_ohm: float, in_load: float) -> Beside:
    """Three flats on one riser, the first without its PEN and alone with a load; coils in bonds and PENs, or in the load."""
    u, ground, star = draw.uniform(200, 260), large(draw), draw.uniform(0.1, 20)
    ba, bb, bc, pb, pc = (draw.uniform(0.005, 0.5) for _ in range(5))
    flats = (Flat("a", ba, None, (Load(u, ours_ohm),)), Flat("b", bb, pb), Flat("c", bc, pc))
    found = riser_currents(SharedRiser(flats, ground, star))
    henry = [coil(draw, one) if metal else 1e-15 for one in (ba, bb, bc, pb, pc)]
    netlist = f"""
        v{p} {p}line {p}star dc 0 ac {u!r} 0
        r{p}l {p}line {p}x {ohm!r}
        l{p}l {p}x {p}ma {in_load + 1e-15!r}
        r{p}a {p}ma {p}xa {ba!r}
        l{p}a {p}xa {p}ya {henry[0]!r}
        vi{p}a {p}ya {p}riser dc 0 ac 0
        r{p}b {p}mb {p}xb {bb!r}
        l{p}b {p}xb {p}yb {henry[1]!r}
        vi{p}b {p}yb {p}riser dc 0 ac 0
        r{p}c {p}mc {p}xc {bc!r}
        l{p}c {p}xc {p}yc {henry[2]!r}
        vi{p}c {p}yc {p}riser dc 0 ac 0
        r{p}pb {p}mb {p}zb {pb!r}
        l{p}pb {p}zb {p}star {henry[3]!r}
        r{p}pc {p}mc {p}zc {pc!r}
        l{p}pc {p}zc {p}star {henry[4]!r}
        r{p}g {p}riser 0 {ground!r}
        r{p}s {p}star 0 {star!r}"""
    own, others = {f"i(vi{p}a)": found.bond_a[0]}, {f"i(vi{p}b)": found.bond_a[1], f"i(vi{p}c)": found.bond_a[2]}
    terminal = {f"v({p}ma)": found.terminal_v[0]}
    if metal:
        return Beside(netlist, lowered=own, raised=terminal, moved=others)
    if ohm == ours_ohm:
        return Beside(netlist, lowered=own | others | terminal)
    return Beside(netlist, raised=own | others | terminal)


def riser_with_coils_in_bonds_and_pens(p: str, draw: random.Random) -> Beside:
    ohm = draw.uniform(3, 200)
    return _riser(p, draw, metal=True, ohm=ohm, ours_ohm=ohm, in_load=0)


def riser_with_a_coil_beside_the_resistance_of_its_load(p: str, draw: random.Random) -> Beside:
    ohm = draw.uniform(3, 200)
    return _riser(p, draw, metal=False, ohm=ohm, ours_ohm=ohm, in_load=coil(draw, ohm))


def riser_with_a_load_of_watts_and_a_power_factor(p: str, draw: random.Random) -> Beside:
    power_w, power_factor = draw.uniform(200, 10_000), draw.uniform(0.5, 0.98)
    impedance = U0_V * U0_V * power_factor / power_w
    henry = impedance * math.sqrt(1 - power_factor * power_factor) / (2 * math.pi * HERTZ)
    return _riser(p, draw, metal=False, ohm=impedance * power_factor, ours_ohm=resistance_of_load(U0_V, power_w), in_load=henry)


WRITERS: tuple[Callable[[str, random.Random], Beside], ...] = (
    fault_with_a_coil_in_the_line,
    fault_with_a_coil_in_the_return,
    fault_with_a_coil_in_its_protective_conductor,
    fault_with_coils_everywhere,
    loop_at_its_limit_by_resistance_alone,
    open_pen_with_a_coil_beside_the_resistance_of_its_load,
    open_pen_with_a_coil_in_the_path_to_earth,
    open_pen_with_a_load_of_watts_and_a_power_factor,
    open_pen_on_three_lines,
    riser_with_coils_in_bonds_and_pens,
    riser_with_a_coil_beside_the_resistance_of_its_load,
    riser_with_a_load_of_watts_and_a_power_factor,
)
DRAWN = {
    write.__name__: [write(f"{letter}x{seed}q", random.Random(seed)) for seed in range(DRAWS)]
    for letter, write in zip("abcdefghijkm", WRITERS, strict=True)
}


@pytest.fixture(scope="module")
def theirs(tmp_path_factory: pytest.TempPathFactory) -> dict[str, float]:
    """What ngspice gives for each expression, as a magnitude; one run for all."""
    every = [one for kind in DRAWN.values() for one in kind]
    asked = [name for one in every for name in one.asked]
    given = answers(f"ac lin 1 {HERTZ} {HERTZ}", [one.netlist for one in every], asked, tmp_path_factory.mktemp("ngspice"))
    return {name: abs(value) for name, value in given.items()}


@pytest.mark.parametrize("kind", DRAWN)
def test_reactance_lowers_and_raises_what_is_stated(kind: str, theirs: dict[str, float]) -> None:
    lowered = [name for one in DRAWN[kind] for name, ours in one.lowered.items() if theirs[name] > ours * (1 + ROUNDING)]
    raised = [name for one in DRAWN[kind] for name, ours in one.raised.items() if theirs[name] < ours * (1 - ROUNDING)]

    assert (lowered, raised) == ([], [])


@pytest.mark.parametrize("kind", [kind for kind, several in DRAWN.items() if any(one.lowered or one.raised for one in several)])
def test_reactance_moves_what_is_stated_by_more_than_rounding(kind: str, theirs: dict[str, float]) -> None:
    """Else what is stated would hold of anything."""
    shifts = [abs(theirs[name] / ours - 1) for one in DRAWN[kind] for name, ours in (one.lowered | one.raised).items() if ours]

    assert max(shifts) > 0.05


@pytest.mark.parametrize("kind", [kind for kind, several in DRAWN.items() if any(one.moved for one in several)])
def test_what_is_called_uncertain_goes_both_ways(kind: str, theirs: dict[str, float]) -> None:
    shifts = [theirs[name] / ours - 1 for one in DRAWN[kind] for name, ours in one.moved.items()]

    assert min(shifts) < -0.01
    assert max(shifts) > 0.01

"""Described faults against netlists of the same situations, written out by hand for ngspice and not made from ours.

In each netlist node 0 is true earth, and the source `vi…` of no voltage measures the current asked for.
"""

import random
from collections.abc import Callable, Iterable
from dataclasses import dataclass

import pytest
from tests.outside.networks.spice import HERTZ, answers, needs_ngspice

from bondwright.calculators.networks.earth_fault import (
    CASE,
    EARTH,
    TERMINAL,
    Circuit,
    EarthFault,
    Part,
    SupplementaryBond,
    Supply,
    fault_voltages,
)
from bondwright.calculators.networks.open_pen import Flat, Load, OpenPen, SharedRiser, open_pen_voltages, riser_currents

pytestmark = needs_ngspice

DRAWS = 25


@dataclass(frozen=True, slots=True)
class Situation:
    """What we compute, by the expression that asks ngspice for the same, and the netlist; all magnitudes."""

    ours: dict[str, float]
    netlist: str


def small(draw: random.Random) -> float:
    """A conductor: 5 milliohm to 2 ohm."""
    return draw.uniform(0.005, 2)


def large(draw: random.Random) -> float:
    """A path through the ground: 1 to 3000 ohm."""
    return float(10 ** draw.uniform(0, 3.5))


def tn_with_everything(p: str, draw: random.Random) -> Situation:
    """TN, main and supplementary bonding, an electrode of its own, a fault with resistance."""
    u, (zs, zl, zp, r1, r2, mb, sb) = draw.uniform(200, 260), [small(draw) for _ in range(7)]
    rf, rb, re, pipe = draw.uniform(0.01, 20), large(draw), large(draw), large(draw)
    fault = EarthFault(
        Supply(u, zs, zl, zp, rb), Circuit(r1, r2, rf), re, (Part("pipe", pipe, mb),), (SupplementaryBond(CASE, "pipe", sb),)
    )
    found = fault_voltages(fault)
    netlist = f"""
        v{p} {p}live {p}star dc {u!r}
        r{p}1 {p}live {p}x {zs + zl + r1!r}
        vi{p} {p}x {p}y dc 0
        r{p}2 {p}y {p}case {rf!r}
        r{p}3 {p}case {p}met {r2!r}
        r{p}4 {p}met {p}star {zp!r}
        r{p}5 {p}star 0 {rb!r}
        r{p}6 {p}met 0 {re!r}
        r{p}7 {p}met {p}pipe {mb!r}
        r{p}8 {p}pipe 0 {pipe!r}
        r{p}9 {p}case {p}pipe {sb!r}"""
    ours = {
        f"i(vi{p})": found.fault_current_a,
        f"v({p}case)": found.between(CASE, EARTH),
        f"v({p}met)": found.between(TERMINAL, EARTH),
        f"v({p}pipe)": found.between("pipe", EARTH),
        f"v({p}case,{p}pipe)": found.between(CASE, "pipe"),
    }
    return Situation(ours, netlist)


def tn_without_bonds(p: str, draw: random.Random) -> Situation:
    """TN with the star point at true earth, a dead fault, a pipe that is bonded to nothing and another, sound, case."""
    u, (zl, zp, r1, r2, other) = draw.uniform(200, 260), [small(draw) for _ in range(5)]
    pipe = large(draw)
    parts = (Part("pipe", pipe, None), Part("sound case", None, other))
    found = fault_voltages(EarthFault(Supply(u, 0, zl, zp, 0), Circuit(r1, r2, 0), None, parts))
    netlist = f"""
        v{p} {p}live 0 dc {u!r}
        r{p}1 {p}live {p}x {zl!r}
        r{p}2 {p}x {p}y {r1!r}
        vi{p} {p}y {p}case dc 0
        r{p}3 {p}case {p}met {r2!r}
        r{p}4 {p}met 0 {zp!r}
        r{p}5 {p}pipe 0 {pipe!r}
        r{p}6 {p}sound {p}met {other!r}"""
    ours = {
        f"i(vi{p})": found.fault_current_a,
        f"v({p}case,{p}pipe)": found.between(CASE, "pipe"),
        f"v({p}case,{p}sound)": found.between(CASE, "sound case"),
        f"v({p}sound,{p}pipe)": found.between("pipe", "sound case"),
        f"v({p}met)": found.between(TERMINAL, EARTH),
    }
    return Situation(ours, netlist)


def tt_with_two_parts(p: str, draw: random.Random) -> Situation:
    """TT, one part bonded to the terminal, one joined to it by a supplementary bond, one left alone."""
    u, (zl, r1, r2, mb, sb) = draw.uniform(200, 260), [small(draw) for _ in range(5)]
    ra, rb, water, gas, alone = (large(draw) for _ in range(5))
    parts = (Part("water", water, mb), Part("gas", gas, None), Part("alone", alone, None))
    fault = EarthFault(Supply(u, 0, zl, None, rb), Circuit(r1, r2, 0), ra, parts, (SupplementaryBond("water", "gas", sb),))
    found = fault_voltages(fault)
    netlist = f"""
        v{p} {p}live {p}star dc {u!r}
        r{p}1 {p}star 0 {rb!r}
        r{p}2 {p}live {p}x {zl + r1!r}
        vi{p} {p}x {p}case dc 0
        r{p}3 {p}case {p}met {r2!r}
        r{p}4 {p}met 0 {ra!r}
        r{p}5 {p}met {p}water {mb!r}
        r{p}6 {p}water 0 {water!r}
        r{p}7 {p}water {p}gas {sb!r}
        r{p}8 {p}gas 0 {gas!r}
        r{p}9 {p}alone 0 {alone!r}"""
    ours = {
        f"i(vi{p})": found.fault_current_a,
        f"v({p}case,{p}water)": found.between(CASE, "water"),
        f"v({p}case,{p}gas)": found.between(CASE, "gas"),
        f"v({p}case,{p}alone)": found.between(CASE, "alone"),
        f"v({p}water,{p}gas)": found.between("gas", "water"),
        f"v({p}met)": found.between(EARTH, TERMINAL),
    }
    return Situation(ours, netlist)


def broken_protective_conductor(p: str, draw: random.Random) -> Situation:
    """TN, the case has lost its protective conductor and is earthed by its supplementary bond alone."""
    u, (zl, zp, r1, mb, sb) = draw.uniform(200, 260), [small(draw) for _ in range(5)]
    pipe, rb = large(draw), large(draw)
    fault = EarthFault(
        Supply(u, 0, zl, zp, rb), Circuit(r1, None, 0), None, (Part("pipe", pipe, mb),), (SupplementaryBond("pipe", CASE, sb),)
    )
    found = fault_voltages(fault)
    netlist = f"""
        v{p} {p}live {p}star dc {u!r}
        r{p}1 {p}live {p}x {zl + r1!r}
        vi{p} {p}x {p}case dc 0
        r{p}2 {p}case {p}pipe {sb!r}
        r{p}3 {p}pipe {p}met {mb!r}
        r{p}4 {p}pipe 0 {pipe!r}
        r{p}5 {p}met {p}star {zp!r}
        r{p}6 {p}star 0 {rb!r}"""
    ours = {
        f"i(vi{p})": found.fault_current_a,
        f"v({p}case,{p}pipe)": found.between(CASE, "pipe"),
        f"v({p}case,{p}met)": found.between(CASE, TERMINAL),
        f"v({p}met)": found.between(TERMINAL, EARTH),
    }
    return Situation(ours, netlist)


def three_phase_open_pen(p: str, draw: random.Random) -> Situation:
    """Three unlike loads, the third a coil, and no neutral."""
    u, (a, b, c) = draw.uniform(200, 260), (draw.uniform(3, 200) for _ in range(3))
    henry, earth, star = draw.uniform(0.001, 0.3), large(draw), draw.uniform(0.1, 20)
    coil = complex(c, 2 * 3.141592653589793 * HERTZ * henry)
    loads = (Load(u, a), Load(u, b, -120), Load(u, coil, 120))
    found = open_pen_voltages(OpenPen(loads, earth, star))
    netlist = f"""
        v{p}a {p}a {p}star dc 0 ac {u!r} 0
        v{p}b {p}b {p}star dc 0 ac {u!r} -120
        v{p}c {p}c {p}star dc 0 ac {u!r} 120
        r{p}a {p}a {p}met {a!r}
        r{p}b {p}b {p}met {b!r}
        r{p}c {p}c {p}m {c!r}
        l{p}c {p}m {p}met {henry!r}
        r{p}e {p}met {p}x {earth!r}
        vi{p} {p}x 0 dc 0 ac 0
        r{p}s {p}star 0 {star!r}"""
    ours = {
        f"v({p}met)": found.terminal_v,
        f"i(vi{p})": found.earth_current_a,
        f"v({p}a,{p}met)": found.load_v[0],
        f"v({p}b,{p}met)": found.load_v[1],
        f"v({p}c,{p}met)": found.load_v[2],
    }
    return Situation(ours, netlist)


def single_phase_open_pen(p: str, draw: random.Random) -> Situation:
    """One load, the star point at true earth."""
    u, load, earth = draw.uniform(200, 260), draw.uniform(3, 200), large(draw)
    found = open_pen_voltages(OpenPen((Load(u, load),), earth, 0))
    netlist = f"""
        v{p} {p}line 0 dc 0 ac {u!r} 0
        r{p}1 {p}line {p}met {load!r}
        r{p}2 {p}met {p}x {earth!r}
        vi{p} {p}x 0 dc 0 ac 0"""
    return Situation({f"v({p}met)": found.terminal_v, f"i(vi{p})": found.earth_current_a}, netlist)


def shared_riser(p: str, draw: random.Random) -> Situation:
    """Three flats on three phases, the first without its PEN, the riser in contact with the ground."""
    u, (ba, bb, bc, pb, pc) = draw.uniform(200, 260), [small(draw) for _ in range(5)]
    a, b, c = (draw.uniform(3, 200) for _ in range(3))
    ground, star = large(draw), draw.uniform(0.1, 20)
    flats = (
        Flat("a", ba, None, (Load(u, a),)),
        Flat("b", bb, pb, (Load(u, b, -120),)),
        Flat("c", bc, pc, (Load(u, c, 120),)),
    )
    found = riser_currents(SharedRiser(flats, ground, star))
    netlist = f"""
        v{p}a {p}la {p}star dc 0 ac {u!r} 0
        v{p}b {p}lb {p}star dc 0 ac {u!r} -120
        v{p}c {p}lc {p}star dc 0 ac {u!r} 120
        r{p}la {p}la {p}ma {a!r}
        r{p}lb {p}lb {p}mb {b!r}
        r{p}lc {p}lc {p}mc {c!r}
        r{p}ba {p}ma {p}x {ba!r}
        vi{p} {p}x {p}riser dc 0 ac 0
        r{p}bb {p}mb {p}riser {bb!r}
        r{p}bc {p}mc {p}riser {bc!r}
        r{p}pb {p}mb {p}star {pb!r}
        r{p}pc {p}mc {p}star {pc!r}
        r{p}g {p}riser 0 {ground!r}
        r{p}s {p}star 0 {star!r}"""
    ours = {
        f"i(vi{p})": found.bond_a[0],
        f"v({p}ma)": found.terminal_v[0],
        f"v({p}mb)": found.terminal_v[1],
        f"v({p}mc)": found.terminal_v[2],
        f"v({p}riser)": found.riser_v,
    }
    return Situation(ours, netlist)


Writer = Callable[[str, random.Random], Situation]
IN_PHASE: tuple[Writer, ...] = (tn_with_everything, tn_without_bonds, tt_with_two_parts, broken_protective_conductor)
PHASORS: tuple[Writer, ...] = (three_phase_open_pen, single_phase_open_pen, shared_riser)


def situations(writers: Iterable[Writer]) -> dict[str, list[Situation]]:
    """`DRAWS` situations for each writer, by its name."""
    return {
        writer.__name__: [writer(f"{place}x{seed}", random.Random(seed)) for seed in range(DRAWS)]
        for place, writer in zip("abcdefg", writers, strict=False)
    }


@pytest.fixture(scope="module")
def drawn() -> dict[str, list[Situation]]:
    return situations(IN_PHASE) | situations(PHASORS)


@pytest.fixture(scope="module")
def theirs(drawn: dict[str, list[Situation]], tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, complex]]:
    """What ngspice gives, by kind of situation: one run for those in phase, one for phasors."""
    found: dict[str, dict[str, complex]] = {}
    for analysis, writers in (("op", IN_PHASE), (f"ac lin 1 {HERTZ} {HERTZ}", PHASORS)):
        kinds = [writer.__name__ for writer in writers]
        netlist = [one.netlist for kind in kinds for one in drawn[kind]]
        asked = [name for kind in kinds for one in drawn[kind] for name in one.ours]
        given = answers(analysis, netlist, asked, tmp_path_factory.mktemp("ngspice"))
        found |= dict.fromkeys(kinds, given)
    return found


@pytest.mark.parametrize("kind", [writer.__name__ for writer in (*IN_PHASE, *PHASORS)])
def test_a_described_fault_gives_what_ngspice_gives_for_the_netlist(
    kind: str, drawn: dict[str, list[Situation]], theirs: dict[str, dict[str, complex]]
) -> None:
    ours = {name: value for one in drawn[kind] for name, value in one.ours.items()}

    assert ours == pytest.approx({name: abs(theirs[kind][name]) for name in ours}, rel=1e-6, abs=1e-9)

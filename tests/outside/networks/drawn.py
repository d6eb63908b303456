"""Random networks, each written down twice: for our solver, and as lines of a netlist. Neither is made from the other."""

import cmath
import math
import random
from dataclasses import dataclass

from tests.outside.networks.spice import HERTZ

from bondwright.calculators.networks.linear import Admittance, Branch, Network, Resistance, Source

_TURN_PER_S = 2 * math.pi * HERTZ


@dataclass(frozen=True, slots=True)
class Drawn:
    """A network and its netlist; `asked` has, for each node and source, the name of the same quantity in ngspice."""

    network: Network
    netlist: tuple[str, ...]
    node_asked: dict[str, str]
    source_asked: dict[str, str]


def drawn(seed: int, *, phasors: bool) -> Drawn:
    """A connected network of 3 to 9 nodes with one to three sources and none to eight branches more than a tree needs."""
    draw = random.Random(seed)
    nodes = ["0", *(f"n{seed}_{at}" for at in range(1, draw.randint(3, 9)))]
    branches: list[Branch] = []
    netlist: list[str] = []
    sources = draw.randint(1, 3)
    ends = [(nodes[at], draw.choice(nodes[:at])) for at in range(1, len(nodes))]
    for at, (a, b) in enumerate(ends):
        if at < sources:
            _add_source(draw, f"{seed}_{at}", a, b, phasors, branches, netlist)
        else:
            _add_load(draw, f"{seed}_{at}", a, b, phasors, branches, netlist)
    for at in range(draw.randint(0, 8)):
        a, b = draw.sample(nodes, 2)
        _add_load(draw, f"{seed}_x{at}", a, b, phasors, branches, netlist)
    network = Network("0", tuple(nodes), tuple(branches))
    source_asked = {branch.name: f"i(v{branch.name})" for branch in branches if isinstance(branch, Source)}
    return Drawn(network, tuple(netlist), {node: f"v({node})" for node in nodes[1:]}, source_asked)


def _ohm(draw: random.Random) -> float:
    """From a milliohm, as a bond, to 100 kohm, as water in a plastic pipe."""
    return float(10 ** draw.uniform(-3, 5))


def _add_source(draw: random.Random, name: str, a: str, b: str, phasors: bool, branches: list[Branch], netlist: list[str]) -> None:
    volt = draw.choice([0.0, 110.0, 230.0, 253.0])
    if phasors:
        degrees = draw.choice([0, -120, 120, draw.uniform(-180, 180)])
        branches.append(Source(name, a, b, cmath.rect(volt, math.radians(degrees))))
        netlist.append(f"v{name} {a} {b} dc 0 ac {volt} {degrees!r}")
    else:
        branches.append(Source(name, a, b, volt))
        netlist.append(f"v{name} {a} {b} dc {volt}")


def _add_load(draw: random.Random, name: str, a: str, b: str, phasors: bool, branches: list[Branch], netlist: list[str]) -> None:
    ohm = _ohm(draw)
    match draw.choice(["resistor", "coil", "capacitor"]) if phasors else "resistor":
        case "coil":
            henry = 10 ** draw.uniform(-6, 0)
            branches.append(Admittance(name, a, b, 1 / complex(ohm, _TURN_PER_S * henry)))
            netlist.extend([f"r{name} {a} m{name} {ohm!r}", f"l{name} m{name} {b} {henry!r}"])
        case "capacitor":
            farad = 10 ** draw.uniform(-9, -4)
            branches.append(Admittance(name, a, b, complex(1 / ohm, _TURN_PER_S * farad)))
            netlist.extend([f"r{name} {a} {b} {ohm!r}", f"c{name} {a} {b} {farad!r}"])
        case _:
            branches.append(Resistance(name, a, b, ohm))
            netlist.append(f"r{name} {a} {b} {ohm!r}")

"""The general case: a linear network of branches between named nodes, solved by modified nodal analysis.

Every branch keeps its own current as an unknown beside the node voltages. So a milliohm and a megohm at one node are
never added up, which would lose the megohm. All quantities are phasors, or plain numbers where everything is in phase.
"""

import cmath
import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from msgspec import Struct

from bondwright.calculators.ranges import OutOfRange, require_not_negative, require_positive

WORST_ERROR = 1e-7
"""A voltage in doubt by more than this share of the largest one, or of 1 V if that is more, is refused; so is a current."""


@dataclass(frozen=True, slots=True)
class Resistance:
    """Two nodes joined by `ohm`, finite and above zero; its current counts from `a` to `b`."""

    name: str
    a: str
    b: str
    ohm: float

    def __post_init__(self) -> None:
        require_positive(**{f"resistance {self.name}": self.ohm})


@dataclass(frozen=True, slots=True)
class Admittance:
    """Two nodes joined by `siemens`, finite, not zero, with no negative conductance; its current counts from `a` to `b`."""

    name: str
    a: str
    b: str
    siemens: complex

    def __post_init__(self) -> None:
        if not cmath.isfinite(self.siemens) or self.siemens == 0:
            raise OutOfRange(f"magnitude of admittance {self.name}", magnitude(self.siemens), "finite and above zero")
        if self.siemens.real < 0:
            raise OutOfRange(f"conductance of admittance {self.name}", self.siemens.real, "zero or more")


@dataclass(frozen=True, slots=True)
class Source:
    """An ideal source that holds `a` at `volt` above `b`; its current counts from `a` through the source to `b`.

    A source that gives power so has a negative current. One of 0 V is a joint without resistance.
    """

    name: str
    a: str
    b: str
    volt: complex

    def __post_init__(self) -> None:
        if not cmath.isfinite(self.volt):
            raise OutOfRange(f"voltage of source {self.name}", magnitude(self.volt), "finite")


Branch: TypeAlias = Resistance | Admittance | Source


def joint(name: str, a: str, b: str, ohm: float) -> Branch:
    """A branch of `ohm`, where zero is a joint without resistance.

    Raises: OutOfRange, if `ohm` is negative or not finite.
    """
    require_not_negative(**{f"resistance {name}": ohm})
    return Source(name, a, b, 0) if ohm == 0 else Resistance(name, a, b, ohm)


@dataclass(frozen=True, slots=True)
class Network:
    """Branches between `nodes`; voltages count against `reference`, which is one of them.

    Raises: OutOfRange, if a name is given twice, a branch ends nowhere or where it starts, a node floats or sources
    alone close a ring.
    """

    reference: str
    nodes: tuple[str, ...]
    branches: tuple[Branch, ...]

    def __post_init__(self) -> None:
        _require_once("nodes", self.nodes)
        _require_once("branches", [branch.name for branch in self.branches])
        _require_known(self.reference, self.nodes)
        for branch in self.branches:
            _require_known(branch.a, self.nodes)
            _require_known(branch.b, self.nodes)
            if branch.a == branch.b:
                raise OutOfRange(f"number of nodes that branch {branch.name} joins", 1, "two")
        self._require_all_joined()
        self._require_no_ring_of_sources()

    def _require_all_joined(self) -> None:
        """Raises: OutOfRange, if a node has no path to the reference, so that its voltage is not settled."""
        groups = _Groups(self.nodes)
        for branch in self.branches:
            groups.join(branch.a, branch.b)
        if floating := [node for node in self.nodes if not groups.are_one(node, self.reference)]:
            raise OutOfRange(f"number of nodes with no path to {self.reference}", len(floating), f"zero; cut off: {', '.join(floating)}")

    def _require_no_ring_of_sources(self) -> None:
        """Raises: OutOfRange, if sources, or joints without resistance, close a ring: no law settles the current in it."""
        groups = _Groups(self.nodes)
        for branch in self.branches:
            if isinstance(branch, Source):
                if groups.are_one(branch.a, branch.b):
                    raise OutOfRange(f"resistance of the ring that {branch.name} closes", 0, "above zero, or nothing settles its current")
                groups.join(branch.a, branch.b)


class Solution(Struct, frozen=True):
    """Voltage of every node against the reference, and current of every branch from its `a` to its `b`."""

    node_v: Mapping[str, complex]
    branch_a: Mapping[str, complex]

    def voltage(self, a: str, b: str) -> complex:
        """Voltage of node `a` above node `b`.

        Raises: OutOfRange, if there is no such node.
        """
        _require_known(a, self.node_v)
        _require_known(b, self.node_v)
        return self.node_v[a] - self.node_v[b]

    def current(self, branch: str) -> complex:
        """Current of a branch from its `a` to its `b`.

        Raises: OutOfRange, if there is no such branch.
        """
        if branch not in self.branch_a:
            raise OutOfRange(f"number of branches called {branch}", 0, f"one of: {', '.join(self.branch_a)}")
        return self.branch_a[branch]


def solve(network: Network) -> Solution:
    """Voltages and currents of a network.

    Raises: OutOfRange, if the network resonates, or its figures lie so far apart that a result would not be good to
    `WORST_ERROR`.
    Source: Kirchhoff's two laws and Ohm's law (modified nodal analysis); doubt by Skeel's bound.

    >>> halves = (Source("mains", "line", "earth", 230), Resistance("up", "line", "tap", 5), Resistance("down", "tap", "earth", 5))
    >>> round(abs(solve(Network("earth", ("line", "tap", "earth"), halves)).node_v["tap"]), 6)
    115.0
    """
    free = [node for node in network.nodes if node != network.reference]
    if not free:
        return Solution({network.reference: 0j}, {})
    # Loaded here only: numpy takes 0.25 s to load, and few who load this module solve a network.
    from bondwright.calculators.networks.equations import solved

    count, numbers = len(free), solved(free, network.branches, WORST_ERROR)
    voltages = {network.reference: 0j} | dict(zip(free, numbers[:count], strict=True))
    currents = dict(zip((branch.name for branch in network.branches), numbers[count:], strict=True))
    return Solution({node: voltages[node] for node in network.nodes}, currents)


def magnitude(value: complex) -> float:
    """Magnitude, infinite where `abs` would overflow."""
    return math.hypot(value.real, value.imag)


def _require_once(what: str, names: Sequence[str]) -> None:
    name, count = max(Counter(names).items(), key=lambda entry: entry[1], default=("", 1))
    if count > 1:
        raise OutOfRange(f"number of {what} called {name}", count, "one")


def _require_known(node: str, nodes: Sequence[str] | Mapping[str, complex]) -> None:
    if node not in nodes:
        raise OutOfRange(f"number of nodes called {node}", 0, f"one of: {', '.join(nodes)}")


class _Groups:
    """Which nodes are joined so far."""

    def __init__(self, nodes: Sequence[str]) -> None:
        self._group = {node: {node} for node in nodes}

    def join(self, a: str, b: str) -> None:
        if not self.are_one(a, b):
            both = self._group[a] | self._group[b]
            self._group.update(dict.fromkeys(both, both))

    def are_one(self, a: str, b: str) -> bool:
        return a in self._group[b]

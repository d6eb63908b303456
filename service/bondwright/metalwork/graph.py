"""The graph of lengths of metal, their links, and their contacts with sources of potential."""

from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal, TypeAlias

from bondwright.rulebook.facts import Known as Known

Source: TypeAlias = Literal["ground", "other_installation", "other_earthing_system", "mixed_earthing", "protective_conductor"]
"""Where a potential can come from: the ground; another installation's earth; an earthing system meant to be separate; one of another
type, of which nobody knows whether it is meant to be; own protective conductors."""

Run: TypeAlias = frozenset[str]
"""Nodes that are one piece of metal in every possible world."""


Settles: TypeAlias = Literal["either", "yes", "no"]
"""What the answer to a question can bring about: that it is so or is not; only that it is; only that it is not."""


@dataclass(frozen=True, slots=True)
class Link:
    """A joint or a hidden length between two nodes.

    `gap`: the key of the question that would settle an unknown one, none where no answer would; `settles`: which way.
    """

    a: str
    b: str
    conducts: Known
    gap: str | None = None
    settles: Settles = "either"


@dataclass(frozen=True, slots=True)
class Contact:
    """A place where a node may touch a source; `gap` and `settles` as of a link."""

    node: str
    source: Source
    touches: Known
    gap: str | None = None
    settles: Settles = "either"


@dataclass(frozen=True, slots=True)
class Graph:
    """Lengths of metal and what joins them.

    A node is a length whose own continuity is certain if it is metal at all, which `metal` says. Links and contacts
    name nodes only, every node has an entry in `metal`, and `metal_gaps` may hold the key of the question that would
    settle an unknown entry. Two links may join the same nodes.

    A possible world fixes every unknown link, contact and metal to yes or no, each independently of the others. In a
    world a potential passes from node to node through links that conduct, between nodes that are metal.
    """

    nodes: tuple[str, ...]
    links: tuple[Link, ...]
    contacts: tuple[Contact, ...]
    metal: Mapping[str, Known]
    metal_gaps: Mapping[str, str] = field(default_factory=dict)
    certain: "Neighbours" = field(init=False, repr=False, compare=False)
    possible: "Neighbours" = field(init=False, repr=False, compare=False)
    runs: tuple["Run", ...] = field(init=False, repr=False, compare=False)
    _where_metal: "dict[str, Graph]" = field(default_factory=dict, init=False, repr=False, compare=False)
    _gaps_at: dict[str, dict[str, None]] = field(default_factory=dict, init=False, repr=False, compare=False)

    def where_metal(self, node: str) -> "Graph":
        """The same graph in the worlds in which a node is metal; made once."""
        if self.metal[node] == "yes":
            return self
        if node not in self._where_metal:
            self._where_metal[node] = replace(self, metal={**self.metal, node: "yes"})
        return self._where_metal[node]

    def gaps_at(self, node: str, most: int) -> Iterable[str]:
        """The keys of the first so many questions about the links at a node, once each, in the order of the links."""
        if not self._gaps_at:
            at: dict[str, dict[str, None]] = {name: {} for name in self.nodes}
            for link in self.links:
                if link.gap is not None:
                    for keys in (at[link.a], at[link.b]):
                        if len(keys) < most:
                            keys[link.gap] = None
            self._gaps_at.update(at)
        return self._gaps_at[node]

    def __post_init__(self) -> None:
        """Finds what every search asks for: the nodes next to each, by links that conduct for certain and by all, and the runs."""
        certain, possible = _beside(self)
        object.__setattr__(self, "certain", certain)
        object.__setattr__(self, "possible", possible)
        object.__setattr__(self, "runs", _runs(self))


Neighbours: TypeAlias = Mapping[str, Sequence[str]]
"""For each node the nodes that its links lead to, in the order of the links."""


def _beside(graph: Graph) -> tuple[Neighbours, Neighbours]:
    """The nodes next to each by links that conduct for certain, and by all that may."""
    certain: dict[str, list[str]] = {node: [] for node in graph.nodes}
    possible: dict[str, list[str]] = {node: [] for node in graph.nodes}
    for link in graph.links:
        if link.conducts != "no":
            possible[link.a].append(link.b)
            possible[link.b].append(link.a)
        if link.conducts == "yes":
            certain[link.a].append(link.b)
            certain[link.b].append(link.a)
    return certain, possible


def spread(starts: Iterable[str], beside: Neighbours, enters: Callable[[str], bool], passes: Callable[[str], bool]) -> Iterator[str]:
    """Every node met from `starts`, once each, nearest first: those that `enters` lets in, going on from those that `passes`."""
    met: set[str] = set()
    waiting: deque[str] = deque()
    for start in starts:
        if start not in met and enters(start):
            met.add(start)
            waiting.append(start)
    while waiting:
        node = waiting.popleft()
        yield node
        if passes(node):
            for neighbour in beside[node]:
                if neighbour not in met and enters(neighbour):
                    met.add(neighbour)
                    waiting.append(neighbour)


def _runs(graph: Graph) -> tuple[Run, ...]:
    """The parts: largest sets of certain metal joined by certain links, in the order of their first nodes.

    A node that may be metal is a run of its own; a node that is not metal is in none.
    """
    beside = graph.certain
    placed: set[str] = set()
    found: list[Run] = []
    for node in graph.nodes:
        if node in placed or graph.metal[node] == "no":
            continue
        certain = graph.metal[node] == "yes"
        run = Run(spread([node], beside, lambda neighbour: graph.metal[neighbour] == "yes", lambda _: True)) if certain else Run({node})
        placed |= run
        found.append(run)
    return tuple(found)

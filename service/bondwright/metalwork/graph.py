"""The graph of lengths of metal, their links, and their contacts with sources of potential."""

from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import chain, takewhile
from typing import Literal, TypeAlias

import msgspec
from msgspec import Struct

from bondwright.members import replace
from bondwright.rulebook.facts import Known as Known


class OfEarthing(Struct, frozen=True):
    """One earthing of several: `supply`, or the id of a further one."""

    id: str


Source: TypeAlias = Literal["ground", "other_installation", "other_earthing_system", "mixed_earthing", "protective_conductor"] | OfEarthing
"""Where a potential can come from: the ground; another installation's earth; an earthing system meant to be separate; one of another
type, of which nobody knows whether it is meant to be; own protective conductors; an earthing of this installation where it has several."""

Run: TypeAlias = frozenset[str]
"""Nodes that are one piece of metal in every possible world."""


Settles: TypeAlias = Literal["either", "yes", "no"]
"""What the answer to a question can bring about: that it is so or is not; only that it is; only that it is not."""


class Link(Struct, frozen=True):
    """A joint or a hidden length between two nodes.

    `gap`: the key of the question that would settle an unknown one, none where no answer would; `settles`: which way.
    """

    a: str
    b: str
    conducts: Known
    gap: str | None = None
    settles: Settles = "either"


class Contact(Struct, frozen=True):
    """A place where a node may touch a source; `gap` and `settles` as of a link."""

    node: str
    source: Source
    touches: Known
    gap: str | None = None
    settles: Settles = "either"


class Crowd(Struct, frozen=True):
    """Nodes that may each touch every piece of steel: a link between each of the one and each of the other, never to itself.

    `touching`: the nodes in their order, each with the key of the question that would settle it; `steel`: those that they may touch. All
    these links are unknown, and an answer can only part them. Kept so, for as links a house of 400 pieces has 160,000 of them.
    """

    touching: Mapping[str, str | None] = msgspec.field(default_factory=dict)
    steel: Mapping[str, None] = msgspec.field(default_factory=dict)

    def links(self) -> Iterator[Link]:
        """Each of the links."""
        for node, gap in self.touching.items():
            yield from (Link(node, steel, "unknown", gap, "no") for steel in self.steel if steel != node)

    def beside(self, node: str, touching: bool, steel: bool) -> Iterator[str]:
        """The nodes that links lead to from a node, in the order of the links; only those that touch, or only the steel, if asked so.

        May give the node itself.
        """
        if node not in self.touching:
            yield from self.touching if touching and node in self.steel else ()
        elif node not in self.steel or not touching:
            yield from self.steel if steel else ()
        else:
            before = takewhile(lambda other: other != node, self.touching)
            yield from chain(before, self.steel if steel else (), self.touching)

    def gaps_at(self, node: str) -> Iterator[str]:
        """The keys of the questions about the links at a node, in the order of the links."""
        if node in self.steel:
            yield from (gap for other, gap in self.touching.items() if gap and (other != node or len(self.steel) > 1))
        elif (own := self.touching.get(node)) and self.steel:
            yield own


@dataclass(frozen=True, slots=True)
class Graph:
    """Lengths of metal and what joins them.

    A node is a length whose own continuity is certain if it is metal at all, which `metal` says. Links and contacts
    name nodes only, every node has an entry in `metal`, and `metal_gaps` may hold the key of the question that would
    settle an unknown entry. Two links may join the same nodes. Those of the `crowd` come after all others.

    A possible world fixes every unknown link, contact and metal to yes or no, each independently of the others. In a
    world a potential passes from node to node through links that conduct, between nodes that are metal.
    """

    nodes: tuple[str, ...]
    links: tuple[Link, ...]
    contacts: tuple[Contact, ...]
    metal: Mapping[str, Known]
    metal_gaps: Mapping[str, str] = field(default_factory=dict)
    crowd: Crowd = field(default_factory=Crowd)
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
            for name in {**self.crowd.touching, **self.crowd.steel}:
                for gap in self.crowd.gaps_at(name):
                    if len(at[name]) >= most:
                        break
                    at[name][gap] = None
            self._gaps_at.update(at)
        return self._gaps_at[node]

    def every_link(self) -> tuple[Link, ...]:
        """The links, those of the crowd too."""
        return (*self.links, *self.crowd.links())

    def spread(self, starts: Iterable[str], enters: Callable[[str], bool], passes: Callable[[str], bool]) -> Iterator[str]:
        """As `spread`, by all links that may conduct."""
        return spread(starts, self.possible, enters, passes, self.crowd)

    def __post_init__(self) -> None:
        """Finds what every search asks for: the nodes next to each, by links that conduct for certain and by all, and the runs."""
        certain, possible = _beside(self)
        object.__setattr__(self, "certain", certain)
        object.__setattr__(self, "possible", possible)
        object.__setattr__(self, "runs", _runs(self))


Neighbours: TypeAlias = Mapping[str, Sequence[str]]
"""For each node the nodes that its links lead to, in the order of the links; those of the crowd are left out."""

_NOBODY = Crowd()


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


def spread(
    starts: Iterable[str], beside: Neighbours, enters: Callable[[str], bool], passes: Callable[[str], bool], crowd: Crowd = _NOBODY
) -> Iterator[str]:
    """Every node met from `starts`, once each, nearest first: those that `enters` lets in, going on from those that `passes`."""
    met: set[str] = set()
    waiting: deque[str] = deque()
    touching_left = steel_left = bool(crowd.touching)
    for start in starts:
        if start not in met and enters(start):
            met.add(start)
            waiting.append(start)
    while waiting:
        node = waiting.popleft()
        yield node
        if passes(node):
            onward: Iterable[str] = beside[node]
            if touching_left or steel_left:
                # Who was looked at once was let in or not, so the crowd is gone through once, not from each of it.
                onward = chain(onward, crowd.beside(node, touching_left, steel_left))
                touching_left, steel_left = touching_left and node not in crowd.steel, steel_left and node not in crowd.touching
            for neighbour in onward:
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

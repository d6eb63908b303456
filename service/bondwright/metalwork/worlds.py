"""What a potential reaches in every possible world, in some, in none; and which unknowns decide it.

Reaching only grows as links, contacts and metal are added, so two searches are exact: one through what is certain, one
through all that is possible.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence, Set
from typing import TypeAlias

from msgspec import Struct

from bondwright.metalwork.blocks import Blocks, blocks
from bondwright.metalwork.graph import Graph, Known, Settles, Source, spread

Deciding: TypeAlias = tuple[tuple[str, ...], tuple[Known, ...]]
"""Keys of unknowns, and what their answers can bring about."""


def reached(graph: Graph, source: Source) -> Mapping[str, Known]:
    """Whether a potential from `source` reaches each node: in every world, in none, or in some only (unknown).

    For a node that may be metal the worlds meant are those in which it is: the answer is what would hold of it if it
    were found to be metal. A node that is not metal is never reached.
    """
    contacts = [contact for contact in graph.contacts if contact.source == source]
    if not contacts:
        return dict.fromkeys(graph.nodes, "no")
    certainly = set(
        spread(
            (contact.node for contact in contacts if contact.touches == "yes"),
            graph.certain,
            enters=lambda node: graph.metal[node] != "no",
            passes=lambda node: graph.metal[node] == "yes",
        )
    )
    possibly = set(
        graph.spread(
            (contact.node for contact in contacts if contact.touches != "no"),
            enters=lambda node: graph.metal[node] != "no",
            passes=lambda _: True,
        )
    )
    return {node: "yes" if node in certainly else "unknown" if node in possibly else "no" for node in graph.nodes}


def deciding(graph: Graph, node: str, source: Source) -> Deciding:
    """Keys of the unknown metal, links and contacts that could still decide whether `source` reaches `node`, once each; and which way.

    An unknown without a key stays unknown whatever is answered. A key is there if an answer could part `node` from the source, or join
    it for certain, in some world: it lies on a path from the source to the node, past no run of metal twice, once what no answer can part
    is taken as one run; or on such a path of which every step can be made certain. In the order of the graph; empty when the
    answer is certain. Where no length is of unknown metal each key changes the answer in some world; otherwise a few more may be listed,
    for to be exact would mean to find paths without short cuts, for which no quick way is known (Bienstock 1991). The metal of `node`
    itself is never among them: the answer is about the worlds in which it is metal.
    """
    if graph.metal[node] == "no":
        return (), ()
    vertices, edges = _condensed(graph.where_metal(node), source)
    doubtful = {vertices[name] for name in graph.nodes if name != node and graph.metal[name] == "unknown"}
    asked = {vertices[name] for name in graph.nodes if name in graph.metal_gaps and vertices.get(name) in doubtful}
    parting = _on_ways(edges, vertices[node], [edge for edge in edges if not edge.can_go and not asked & {*edge.ends}], edges)
    joining = _on_ways(edges, vertices[node], (), [edge for edge in edges if edge.can_stay and not (doubtful - asked) & {*edge.ends}])
    crossed = {vertex for edge in parting | joining for vertex in edge.ends}
    keys = [graph.metal_gaps.get(name) for name in graph.nodes if vertices.get(name) in doubtful & crossed]
    keys += [edge.gap for edge in edges if (edge in parting and edge.can_go) or (edge in joining and edge.can_stay)]
    ways: tuple[tuple[Known, bool], ...] = (("no", bool(parting)), ("yes", bool(joining)))
    return tuple(dict.fromkeys(key for key in keys if key is not None)), tuple(way for way, there in ways if there)


def near_gaps(graph: Graph, source: Source) -> Callable[[str], tuple[str, ...]]:
    """For each node, on asking, the keys of at most MOST_GAPS unknowns about its reach, nearest first."""
    near = near_deciding(graph, source)
    return lambda node: near(node)[0]


def near_deciding(graph: Graph, source: Source) -> Callable[[str], Deciding]:
    """For each node, on asking, at most MOST_GAPS keys, nearest first, and whether answers can show that it is reached, or that it is not.

    In a graph of up to EXACT_NODES nodes those of `deciding`. In a larger one those met first on the way outward from the node,
    dead ends included: quick, and as much as a person can answer at once.
    """
    if len(graph.nodes) <= EXACT_NODES:
        return _Exactly(graph, source).deciding
    own: dict[str, list[str | None]] = {}
    for contact in graph.contacts:
        if contact.source == source:
            own.setdefault(contact.node, []).append(contact.gap)

    def nearest(node: str) -> Deciding:
        found: dict[str, None] = {}
        for met in graph.spread([node], lambda neighbour: graph.metal[neighbour] != "no", lambda _: True):
            keys = (*own.get(met, ()), *graph.gaps_at(met, MOST_GAPS), None if met == node else graph.metal_gaps.get(met))
            found |= dict.fromkeys(key for key in keys if key)
            if len(found) >= MOST_GAPS:
                break
        return tuple(found)[:MOST_GAPS], ("no", "yes")

    return nearest


EXACT_NODES = 64
"""Up to this size the exact search for gaps is made for every part."""

MOST_GAPS = 12
"""Nobody answers more questions about one part at once; answering some brings out the next."""

_SOURCE = -1


class _Edge(Struct, frozen=True, eq=False):
    """A possible link between two runs, or contact of a run with the source.

    `gap` only where it is unknown. `can_go`: whether an answer can take it away; `can_stay`: whether it is certain, or one can make it so.
    """

    ends: tuple[int, int]
    gap: str | None
    can_go: bool
    can_stay: bool

    @staticmethod
    def of(ends: tuple[int, int], there: Known, gap: str | None, settles: Settles) -> "_Edge":
        if there == "yes":
            return _Edge(ends, None, False, True)
        return _Edge(ends, gap, gap is not None and settles != "yes", gap is not None and settles != "no")


class _Exactly(Struct):
    """The exact search in a graph, begun when it is first asked."""

    graph: Graph
    source: Source
    begun: "_Exact | None" = None

    def deciding(self, node: str) -> Deciding:
        """At most MOST_GAPS keys, and which way their answers settle it."""
        if self.begun is None:
            self.begun = _Exact.of(self.graph, self.source)
        return self.begun.deciding(node)


class _Exact(Struct, frozen=True):
    """What `deciding` finds for each node, its first keys; most of the nodes share one search.

    `parting`, `joining`: the blocks of both graphs in which it looks for ways, with the edges of each; `homes`: what stands for each vertex
    in the first. `apart`: the nodes of unknown metal about which more is to be settled than the metal alone, each searched for by itself.
    """

    graph: Graph
    source: Source
    vertices: Mapping[str, int]
    edges: Sequence[_Edge]
    doubtful: Set[int]
    homes: Mapping[int, int]
    parting: Blocks
    parting_edges: Sequence[int]
    joining: Blocks
    joining_edges: Sequence[int]
    apart: Set[str]
    shared: dict[tuple[tuple[int, ...], tuple[int, ...]], tuple[Sequence[tuple[str, str]], Sequence[str], tuple[Known, ...]]]

    @staticmethod
    def of(graph: Graph, source: Source) -> "_Exact":
        """The searches that nodes share."""
        vertices, edges = _condensed(graph, source)
        unknown = {vertices[name]: name for name in graph.nodes if graph.metal[name] == "unknown"}
        asked = {vertex for vertex, name in unknown.items() if name in graph.metal_gaps}
        homes = _homes(edges, [edge for edge in edges if not edge.can_go and not asked & {*edge.ends}])
        parted = [(homes[a], homes[b]) for a, b in (edge.ends for edge in edges)]
        parting_edges = [place for place, (a, b) in enumerate(parted) if a != b]
        left_open = unknown.keys() - asked
        joining_edges = [place for place, edge in enumerate(edges) if edge.can_stay and not left_open & {*edge.ends}]
        apart = {unknown[vertex] for vertex in left_open}
        apart |= {unknown[end] for edge in edges if not edge.can_go for end in edge.ends if end in unknown}
        parting = blocks([parted[place] for place in parting_edges], homes.get(_SOURCE, _SOURCE))
        joining = blocks([edges[place].ends for place in joining_edges], _SOURCE)
        return _Exact(
            graph, source, vertices, edges, unknown.keys(), homes, parting, parting_edges, joining, joining_edges, apart, shared={}
        )

    def deciding(self, node: str) -> Deciding:
        """At most MOST_GAPS keys, and which way their answers settle it."""
        if self.graph.metal[node] == "no":
            return (), ()
        if node in self.apart:
            keys, ways = deciding(self.graph, node, self.source)
            return keys[:MOST_GAPS], ways
        vertex = self.vertices[node]
        on_the_way = self.parting.between(self.homes.get(vertex, vertex)), self.joining.between(vertex)
        if on_the_way not in self.shared:
            self.shared[on_the_way] = self._found(*on_the_way)
        of_metal, of_edges, ways = self.shared[on_the_way]
        first = dict.fromkeys(key for name, key in of_metal if name != node)
        for key in of_edges:
            if len(first) >= MOST_GAPS:
                break
            first[key] = None
        return tuple(first)[:MOST_GAPS], ways

    def _found(self, parting: Iterable[int], joining: Iterable[int]) -> tuple[Sequence[tuple[str, str]], Sequence[str], tuple[Known, ...]]:
        """The keys of unknown metal by node, those of the edges, and the ways, of what lies in those blocks."""
        parts = {self.parting_edges[place] for block in parting for place in self.parting.edges[block]}
        joins = {self.joining_edges[place] for block in joining for place in self.joining.edges[block]}
        crossed = {vertex for place in parts | joins for vertex in self.edges[place].ends} & self.doubtful
        gaps = self.graph.metal_gaps
        of_metal = [(name, gaps[name]) for name in self.graph.nodes if name in gaps and self.vertices.get(name) in crossed]
        of_edges = [
            edge.gap
            for place, edge in enumerate(self.edges)
            if edge.gap is not None and ((place in parts and edge.can_go) or (place in joins and edge.can_stay))
        ]
        ways: tuple[tuple[Known, bool], ...] = (("no", bool(parts)), ("yes", bool(joins)))
        return of_metal, of_edges, tuple(way for way, there in ways if there)


def _condensed(graph: Graph, source: Source) -> tuple[Mapping[str, int], Sequence[_Edge]]:
    """The vertex of each node that is or may be metal, a vertex for each run, and the possible edges between them.

    Runs of certain metal in certain contact with the source are one vertex with it.
    """
    vertices = {node: number for number, run in enumerate(graph.runs) for node in run}
    contacts = [contact for contact in graph.contacts if contact.source == source and contact.touches != "no" and contact.node in vertices]
    live = {vertices[contact.node] for contact in contacts if contact.touches == "yes" and graph.metal[contact.node] == "yes"}
    vertices = {node: _SOURCE if number in live else number for node, number in vertices.items()}
    edges = [
        _Edge.of((vertices[link.a], vertices[link.b]), link.conducts, link.gap, link.settles)
        for link in graph.every_link()
        if link.conducts != "no" and link.a in vertices and link.b in vertices
    ]
    edges += [_Edge.of((_SOURCE, vertices[contact.node]), contact.touches, contact.gap, contact.settles) for contact in contacts]
    return vertices, [edge for edge in edges if edge.ends[0] != edge.ends[1]]


def _on_ways(edges: Sequence[_Edge], end: int, merged: Iterable[_Edge], usable: Sequence[_Edge]) -> set[_Edge]:
    """The usable edges on some path from the source to `end` that passes nothing twice, the ends of each merged edge being one vertex."""
    homes = _homes(edges, merged)
    ends = [(homes[edge.ends[0]], homes[edge.ends[1]]) for edge in usable]
    apart = [(edge, pair) for edge, pair in zip(usable, ends, strict=True) if pair[0] != pair[1]]
    return {apart[index][0] for index in _on_paths([pair for _, pair in apart], homes.get(_SOURCE, _SOURCE), homes.get(end, end))}


def _homes(edges: Sequence[_Edge], merged: Iterable[_Edge]) -> Mapping[int, int]:
    """For each vertex with an edge, the one that stands for all that merged edges make one with it."""
    home = {vertex: vertex for edge in edges for vertex in edge.ends}

    def of(vertex: int) -> int:
        while home[vertex] != vertex:
            home[vertex] = home[home[vertex]]
            vertex = home[vertex]
        return vertex

    for edge in merged:
        home[of(edge.ends[0])] = of(edge.ends[1])
    return {vertex: of(vertex) for vertex in home}


def _on_paths(edges: Sequence[tuple[int, int]], start: int, end: int) -> set[int]:
    """Indexes of the edges on some path from `start` to `end` that passes no vertex twice, in time linear in the edges.

    An edge is on such a path exactly if it is in one biconnected component with an extra edge from `start` to `end`
    (Menger 1927); one depth-first search that takes the extra edge first finds it (Hopcroft and Tarjan 1973).
    """
    if start == end:
        return set()
    ways: dict[int, list[tuple[int, int]]] = {start: [], end: []}
    for index, (a, b) in enumerate(edges):
        ways.setdefault(a, []).append((index, b))
        ways.setdefault(b, []).append((index, a))
    kept: list[int] = []
    order = {start: 0, end: 1}
    lowest = {end: 1}
    walk = [(end, 0, iter(ways[end]))]
    while walk:
        vertex, kept_before, onward = walk[-1]
        for index, next_vertex in onward:
            if next_vertex not in order:
                order[next_vertex] = lowest[next_vertex] = len(order)
                walk.append((next_vertex, len(kept), iter(ways[next_vertex])))
                kept.append(index)
                break
            if order[next_vertex] < order[vertex]:  # also the edge it came by, which keeps that one twice and harms nothing
                kept.append(index)
                lowest[vertex] = min(lowest[vertex], order[next_vertex])
        else:
            walk.pop()
            if walk and lowest[vertex] >= order[walk[-1][0]]:
                del kept[kept_before:]  # nothing from here on leads back past the vertex it hangs from
            elif walk:
                lowest[walk[-1][0]] = min(lowest[walk[-1][0]], lowest[vertex])
    return set(kept)

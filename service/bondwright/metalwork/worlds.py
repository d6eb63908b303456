"""What a potential reaches in every possible world, in some, in none; and which unknowns decide it.

Reaching only grows as links, contacts and metal are added, so two searches are exact: one through what is certain, one
through all that is possible.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from bondwright.metalwork.graph import Graph, Known, Source, neighbours, runs, spread


def reached(graph: Graph, source: Source) -> Mapping[str, Known]:
    """Whether a potential from `source` reaches each node: in every world, in none, or in some only (unknown).

    For a node that may be metal the worlds meant are those in which it is: the answer is what would hold of it if it
    were found to be metal. A node that is not metal is never reached.
    """
    contacts = [contact for contact in graph.contacts if contact.source == source]
    certainly = set(
        spread(
            (contact.node for contact in contacts if contact.touches == "yes"),
            neighbours(graph, "yes"),
            enters=lambda node: graph.metal[node] != "no",
            passes=lambda node: graph.metal[node] == "yes",
        )
    )
    possibly = set(
        spread(
            (contact.node for contact in contacts if contact.touches != "no"),
            neighbours(graph, "unknown"),
            enters=lambda node: graph.metal[node] != "no",
            passes=lambda _: True,
        )
    )
    return {node: "yes" if node in certainly else "unknown" if node in possibly else "no" for node in graph.nodes}


def gaps(graph: Graph, node: str, source: Source) -> tuple[str, ...]:
    """Keys of the unknown metal, links and contacts that could still decide whether `source` reaches `node`, once each.

    Those on some path from the source to the node that passes no run of metal twice, in the order of the graph; empty
    when the answer is certain. With all of them settled the answer is certain; no other key can change it. Where no
    length is of unknown metal each of them changes the answer in some world; otherwise a few more may be listed, for
    to be exact would mean to find paths without short cuts, for which no quick way is known (Bienstock 1991). The
    metal of `node` itself is never among them: the answer is about the worlds in which it is metal.
    """
    if graph.metal[node] == "no":
        return ()
    vertices, edges = _condensed(replace(graph, metal={**graph.metal, node: "yes"}), source)
    kept = {edges[index] for index in _on_paths(edges, _SOURCE, vertices[node])}
    crossed = {vertex for edge in kept for vertex in edge.ends}
    keys = [
        graph.metal_gaps.get(name) for name in graph.nodes if name != node and graph.metal[name] == "unknown" and vertices[name] in crossed
    ]
    keys += [edge.gap for edge in edges if edge in kept]
    return tuple(dict.fromkeys(key for key in keys if key is not None))


def near_gaps(graph: Graph, source: Source) -> Callable[[str], tuple[str, ...]]:
    """For each node, on asking, the keys of at most MOST_GAPS unknowns about its reach, nearest first.

    In a graph of up to EXACT_NODES nodes those of `gaps`. In a larger one those met first on the way outward from the node,
    dead ends included: quick, and as much as a person can answer at once.
    """
    if len(graph.nodes) <= EXACT_NODES:
        return lambda node: gaps(graph, node, source)[:MOST_GAPS]
    beside = neighbours(graph, "unknown")
    at: dict[str, list[str | None]] = {node: [] for node in graph.nodes}
    for contact in graph.contacts:
        at[contact.node] += [contact.gap] if contact.source == source else []
    for link in graph.links:
        at[link.a].append(link.gap)
        at[link.b].append(link.gap)

    def nearest(node: str) -> tuple[str, ...]:
        found: dict[str, None] = {}
        for met in spread([node], beside, lambda other: graph.metal[other] != "no", lambda _: True):
            keys = at[met] if met == node else [*at[met], graph.metal_gaps.get(met)]
            found |= dict.fromkeys(key for key in keys if key)
            if len(found) >= MOST_GAPS:
                break
        return tuple(found)[:MOST_GAPS]

    return nearest


EXACT_NODES = 64
"""Up to this size the exact search for gaps is made for every part."""

MOST_GAPS = 12
"""Nobody answers more questions about one part at once; answering some brings out the next."""

_SOURCE = -1


@dataclass(frozen=True, slots=True, eq=False)
class _Edge:
    """A possible link between two runs, or contact of a run with the source; `gap` only where it is unknown."""

    ends: tuple[int, int]
    gap: str | None


def _condensed(graph: Graph, source: Source) -> tuple[Mapping[str, int], Sequence[_Edge]]:
    """The vertex of each node that is or may be metal, a vertex for each run, and the possible edges between them.

    Runs of certain metal in certain contact with the source are one vertex with it.
    """
    vertices = {node: number for number, run in enumerate(runs(graph)) for node in run}
    contacts = [contact for contact in graph.contacts if contact.source == source and contact.touches != "no" and contact.node in vertices]
    live = {vertices[contact.node] for contact in contacts if contact.touches == "yes" and graph.metal[contact.node] == "yes"}
    vertices = {node: _SOURCE if number in live else number for node, number in vertices.items()}
    edges = [
        _Edge((vertices[link.a], vertices[link.b]), link.gap if link.conducts == "unknown" else None)
        for link in graph.links
        if link.conducts != "no" and link.a in vertices and link.b in vertices
    ]
    edges += [_Edge((_SOURCE, vertices[contact.node]), contact.gap if contact.touches == "unknown" else None) for contact in contacts]
    return vertices, [edge for edge in edges if edge.ends[0] != edge.ends[1]]


def _on_paths(edges: Sequence[_Edge], start: int, end: int) -> set[int]:
    """Indexes of the edges on some path from `start` to `end` that passes no vertex twice, in time linear in the edges.

    An edge is on such a path exactly if it is in one biconnected component with an extra edge from `start` to `end`
    (Menger 1927); one depth-first search that takes the extra edge first finds it (Hopcroft and Tarjan 1973).
    """
    if start == end:
        return set()
    ways: dict[int, list[tuple[int, int]]] = {start: [], end: []}
    for index, edge in enumerate(edges):
        ways.setdefault(edge.ends[0], []).append((index, edge.ends[1]))
        ways.setdefault(edge.ends[1], []).append((index, edge.ends[0]))
    kept: list[int] = []
    order = {start: 0, end: 1}
    lowest = {end: 1}
    walk = [(end, 0, iter(ways[end]))]
    while walk:
        vertex, kept_before, onward = walk[-1]
        for index, other in onward:
            if other not in order:
                order[other] = lowest[other] = len(order)
                walk.append((other, len(kept), iter(ways[other])))
                kept.append(index)
                break
            if order[other] < order[vertex]:  # also the edge it came by, which keeps that one twice and harms nothing
                kept.append(index)
                lowest[vertex] = min(lowest[vertex], order[other])
        else:
            walk.pop()
            if walk and lowest[vertex] >= order[walk[-1][0]]:
                del kept[kept_before:]  # nothing from here on leads back past the vertex it hangs from
            elif walk:
                lowest[walk[-1][0]] = min(lowest[walk[-1][0]], lowest[vertex])
    return set(kept)

"""Small random graphs of metalwork, and every possible world of one, for the property tests."""

import itertools
from collections.abc import Iterator, Mapping
from typing import get_args

import networkx as nx
from hypothesis import strategies as st

from bondwright.members import replace
from bondwright.metalwork.graph import Contact, Graph, Known, Link, OfEarthing, Source

NAMED, _ = get_args(Source)
EARTHINGS = (OfEarthing("supply"), OfEarthing("outbuilding"))
SOURCES: tuple[Source, ...] = ("ground", "ground", "ground", *get_args(NAMED), *EARTHINGS)
"""What to draw sources from: mostly the ground, so that the drawn source often has contacts; of several earthings two stand for all."""
MOST_UNKNOWNS = 10


@st.composite
def graphs(draw: st.DrawFn, metal: tuple[Known, ...] = ("yes", "yes", "yes", "unknown", "unknown", "no")) -> Graph:
    """Graphs of up to six nodes and ten unknowns, each unknown with a key of its own; loops and twin links included."""
    nodes = tuple("abcdef"[: draw(st.sampled_from((1, 2, 3, 4, 4, 5, 5, 6)))])
    node, left = st.sampled_from(nodes), itertools.count(1)

    def known(choices: tuple[Known, ...] = ("yes", "yes", "unknown", "unknown", "no")) -> Known:
        drawn = draw(st.sampled_from(choices))
        return draw(st.sampled_from(("yes", "no"))) if drawn == "unknown" and next(left) > MOST_UNKNOWNS else drawn

    made_of = {name: known(metal) for name in nodes}
    links, contacts = draw(st.integers(0, 9)), draw(st.integers(0, 4))
    ends = [draw(st.tuples(node, node)) for _ in range(links)]
    touching = [draw(st.tuples(node, st.sampled_from(SOURCES))) for _ in range(contacts)]
    return Graph(
        nodes=nodes,
        links=tuple(Link(a, b, known(), f"link {at}") for at, (a, b) in enumerate(ends)),
        contacts=tuple(Contact(name, source, known(), f"contact {at}") for at, (name, source) in enumerate(touching)),
        metal=made_of,
        metal_gaps={name: f"metal {name}" for name in nodes},
    )


def unknown_keys(graph: Graph) -> tuple[str, ...]:
    """The key of every unknown of a graph from `graphs`."""
    metal = [graph.metal_gaps[node] for node in graph.nodes if graph.metal[node] == "unknown"]
    links = [link.gap for link in graph.links if link.conducts == "unknown" and link.gap]
    return (*metal, *links, *(contact.gap for contact in graph.contacts if contact.touches == "unknown" and contact.gap))


def settled(graph: Graph, answers: Mapping[str, Known]) -> Graph:
    """The same graph with the unknowns that `answers` names made known."""

    def known(value: Known, gap: str | None) -> Known:
        return answers.get(gap, value) if gap and value == "unknown" else value

    return replace(
        graph,
        metal={node: known(graph.metal[node], graph.metal_gaps[node]) for node in graph.nodes},
        links=tuple(replace(link, conducts=known(link.conducts, link.gap)) for link in graph.links),
        contacts=tuple(replace(contact, touches=known(contact.touches, contact.gap)) for contact in graph.contacts),
    )


def worlds(graph: Graph) -> Iterator[tuple[Mapping[str, Known], Graph]]:
    """Every possible world, with the answers that lead to it."""
    keys = unknown_keys(graph)
    values: tuple[Known, ...] = ("yes", "no")
    for choice in itertools.product(values, repeat=len(keys)):
        answers = dict(zip(keys, choice, strict=True))
        yield answers, settled(graph, answers)


def pieces(world: Graph) -> list[frozenset[str]]:
    """The connected pieces of metal of a world without unknowns."""
    metal: nx.Graph[str] = nx.Graph()
    metal.add_nodes_from(node for node in world.nodes if world.metal[node] == "yes")
    metal.add_edges_from((link.a, link.b) for link in world.links if link.conducts == "yes" and link.a in metal and link.b in metal)
    return [frozenset(piece) for piece in nx.connected_components(metal)]


def touched(world: Graph, *sources: Source) -> set[str]:
    """All nodes of the pieces of metal that touch one of `sources` in a world without unknowns."""
    starts = {contact.node for contact in world.contacts if contact.source in sources and contact.touches == "yes"}
    return {node for piece in pieces(world) if piece & starts for node in piece}

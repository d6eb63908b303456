"""A crowd that may touch steel is searched as its links would be, one by one."""

import orjson
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.benchmarks.worst import steel
from tests.described import terms
from tests.properties.possible_worlds import graphs
from tests.rules.revisions import newest

from bondwright.installation.reading import read_installation
from bondwright.members import replace
from bondwright.metalwork.graph import Crowd, Graph
from bondwright.metalwork.survey import survey
from bondwright.metalwork.worlds import deciding, reached

_MOST = 3
"""Keys asked for at a node: so few that some are left out."""


@st.composite
def crowded(draw: st.DrawFn) -> Graph:
    """A graph in which some nodes may touch some pieces of steel, some of which are among them."""
    graph = draw(graphs())
    some = st.lists(st.sampled_from(graph.nodes), unique=True)
    touching = {node: draw(st.sampled_from((f"touches {node}", None))) for node in draw(some)}
    return replace(graph, crowd=Crowd(touching, dict.fromkeys(draw(some))))


def told_apart(graph: Graph) -> Graph:
    """The same with each link of the crowd by itself."""
    return replace(graph, links=graph.every_link(), crowd=Crowd())


@settings(deadline=None)
@given(crowded(), st.data())
def test_a_crowd_is_met_in_the_order_of_its_links(graph: Graph, data: st.DataObject) -> None:
    apart = told_apart(graph)
    closed = data.draw(st.sets(st.sampled_from(graph.nodes)))
    start = data.draw(st.sampled_from(graph.nodes))

    for one in (graph.nodes, sorted(closed)):
        for other in (graph.nodes, [start]):
            assert list(apart.spread([start], one.__contains__, other.__contains__)) == list(
                graph.spread([start], one.__contains__, other.__contains__)
            )


@settings(deadline=None)
@given(crowded())
def test_a_crowd_asks_what_its_links_ask(graph: Graph) -> None:
    apart = told_apart(graph)

    assert {node: [*apart.gaps_at(node, _MOST)] for node in graph.nodes} == {node: [*graph.gaps_at(node, _MOST)] for node in graph.nodes}
    assert reached(apart, "ground") == reached(graph, "ground")
    for node in graph.nodes:
        assert deciding(apart, node, "ground") == deciding(graph, node, "ground")


def test_each_piece_of_steel_may_touch_every_other_once_from_each_side() -> None:
    pieces = 7

    graph = survey(read_installation(orjson.dumps(steel(pieces)), terms()), newest("bs7671-2018-a4")).graph

    joined = {(link.a, link.b) for link in graph.every_link()}
    assert {(a, b) for a in graph.nodes for b in graph.nodes if a != b} == joined
    assert pieces * (pieces - 1) == len(graph.every_link())

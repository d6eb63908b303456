"""Laws of what a potential reaches, against brute force over all worlds (networkx) and a solver (clingo)."""

import itertools
from collections.abc import Mapping
from itertools import pairwise
from typing import cast

import clingo
import networkx as nx
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from tests.properties.possible_worlds import SOURCES, graphs, pieces, settled, touched, unknown_keys, worlds

from bondwright.members import replace
from bondwright.metalwork.graph import Contact, Graph, Known, Link, Source
from bondwright.metalwork.worlds import EXACT_NODES, MOST_GAPS, deciding, near_deciding, near_gaps, reached

LEVEL: Mapping[Known, int] = {"no": 0, "unknown": 1, "yes": 2}
sources = st.sampled_from(SOURCES)


def gaps(graph: Graph, node: str, source: Source) -> tuple[str, ...]:
    """The keys that decide, however many."""
    return deciding(graph, node, source)[0]


def by_brute_force(graph: Graph, source: Source) -> dict[str, Known]:
    """What `reached` claims, from its definition: for each node over the worlds in which it is metal."""
    seen: dict[str, set[bool]] = {node: set() for node in graph.nodes}
    for _, world in worlds(graph):
        live = touched(world, source)
        for node in graph.nodes:
            if world.metal[node] == "yes":
                seen[node].add(node in live)
    return {node: "unknown" if len(found) == 2 else "yes" if found == {True} else "no" for node, found in seen.items()}


def by_clingo(graph: Graph, source: Source) -> dict[str, Known]:
    """The same from cautious (in all worlds) and brave (in some) consequences of a logic program."""
    program = [
        "arrives(X) :- contact(I, X), on(I).",
        "arrives(Y) :- live(X), link(I, X, Y), on(I).",
        "arrives(X) :- live(Y), link(I, X, Y), on(I).",
        "live(X) :- arrives(X), on(metal(X)).",
        "{ on(I) } :- open(I).",
        "#show arrives/1.",
    ]
    word = {"yes": "on({}).", "unknown": "open({}).", "no": ""}
    program += [word[graph.metal[node]].format(f"metal({node})") for node in graph.nodes]
    for at, link in enumerate(graph.links):
        program += [f"link(l{at}, {link.a}, {link.b}).", word[link.conducts].format(f"l{at}")]
    for at, contact in enumerate(graph.contacts):
        if contact.source == source:
            program += [f"contact(c{at}, {contact.node}).", word[contact.touches].format(f"c{at}")]
    always, ever = (_consequences("\n".join(program), mode) for mode in ("cautious", "brave"))
    possible = {node for node in graph.nodes if graph.metal[node] != "no"}
    return {node: "no" if node not in ever & possible else "yes" if node in always else "unknown" for node in graph.nodes}


def _consequences(program: str, mode: str) -> set[str]:
    control = clingo.Control([f"--enum-mode={mode}", "0", "--warn=none"])
    control.add("base", [], program)
    control.ground([("base", [])])
    last: set[str] = set()
    with control.solve(yield_=True) as models:
        for model in models:
            last = {str(symbol.arguments[0]) for symbol in model.symbols(shown=True)}
    return last


@given(graphs(), sources)
@settings(deadline=None, max_examples=200)
def test_reached_is_what_holds_in_all_some_or_no_worlds(graph: Graph, source: Source) -> None:
    expected = by_brute_force(graph, source)

    assert expected == reached(graph, source)


@given(graphs(), sources)
@settings(deadline=None)
def test_reached_is_what_a_solver_concludes(graph: Graph, source: Source) -> None:
    expected = by_clingo(graph, source)

    assert expected == reached(graph, source)


@given(graphs(), sources, st.data())
def test_plastic_in_place_of_metal_never_makes_a_node_reached_more(graph: Graph, source: Source, data: st.DataObject) -> None:
    node = data.draw(st.sampled_from(graph.nodes))
    before = reached(graph, source)

    after = reached(replace(graph, metal={**graph.metal, node: "no"}), source)

    assert all(LEVEL[after[other]] <= LEVEL[before[other]] for other in graph.nodes)


@given(graphs(), sources, st.data())
def test_making_an_unknown_known_never_contradicts_a_certain_answer(graph: Graph, source: Source, data: st.DataObject) -> None:
    assume(unknown_keys(graph))
    key = data.draw(st.sampled_from(unknown_keys(graph)))
    before = reached(graph, source)

    known = settled(graph, {key: data.draw(st.sampled_from(("yes", "no")))})
    after = reached(known, source)

    assert all(after[node] == before[node] for node in graph.nodes if before[node] != "unknown" and known.metal[node] != "no")


@given(graphs(), sources, st.data())
def test_splitting_a_length_in_two_changes_nothing(graph: Graph, source: Source, data: st.DataObject) -> None:
    node = data.draw(st.sampled_from(graph.nodes))
    assume(graph.metal[node] == "yes")

    def moved(name: str) -> str:
        return data.draw(st.sampled_from((name, "half"))) if name == node else name

    split = Graph(
        nodes=(*graph.nodes, "half"),
        links=(*(replace(link, a=moved(link.a), b=moved(link.b)) for link in graph.links), Link("half", node, "yes")),
        contacts=tuple(replace(contact, node=moved(contact.node)) for contact in graph.contacts),
        metal={**graph.metal, "half": "yes"},
        metal_gaps=graph.metal_gaps,
    )

    before = {**reached(graph, source), "half": reached(graph, source)[node]}
    assert before == reached(split, source)
    assert all(gaps(graph, other, source) == gaps(split, other, source) for other in graph.nodes)


@given(graphs(), sources, st.data())
def test_names_and_order_change_nothing(graph: Graph, source: Source, data: st.DataObject) -> None:
    called = dict(zip(graph.nodes, data.draw(st.permutations([f"part {node}" for node in graph.nodes])), strict=True))

    other = Graph(
        nodes=tuple(data.draw(st.permutations(list(called.values())))),
        links=tuple(Link(called[link.b], called[link.a], link.conducts, link.gap) for link in data.draw(st.permutations(graph.links))),
        contacts=tuple(replace(contact, node=called[contact.node]) for contact in data.draw(st.permutations(graph.contacts))),
        metal={called[node]: graph.metal[node] for node in graph.nodes},
        metal_gaps={called[node]: graph.metal_gaps[node] for node in graph.nodes},
    )

    assert {called[node]: answer for node, answer in reached(graph, source).items()} == reached(other, source)
    assert all(set(gaps(graph, node, source)) == set(gaps(other, called[node], source)) for node in graph.nodes)
    assert {frozenset(called[node] for node in run) for run in graph.runs} == set(other.runs)


@given(graphs(), sources)
def test_a_node_has_gaps_exactly_when_its_answer_is_unknown(graph: Graph, source: Source) -> None:
    answers = reached(graph, source)

    assert {node for node in graph.nodes if answers[node] == "unknown"} == {node for node in graph.nodes if gaps(graph, node, source)}


@given(graphs(), sources, st.data())
def test_settling_every_gap_of_a_node_decides_it(graph: Graph, source: Source, data: st.DataObject) -> None:
    node = data.draw(st.sampled_from(graph.nodes))
    answers: dict[str, Known] = {key: data.draw(st.sampled_from(("yes", "no"))) for key in gaps(graph, node, source)}

    after = reached(settled(graph, answers), source)

    assert after[node] != "unknown"


def deciding_by_brute_force(graph: Graph, node: str, source: Source) -> set[str]:
    """Keys that change whether `node` is reached in some world in which it is metal."""
    certain = replace(graph, metal={**graph.metal, node: "yes"})
    live = {tuple(answers.items()): node in touched(world, source) for answers, world in worlds(certain)}
    return {
        key
        for answers, here in live.items()
        for key, value in answers
        if here != live[tuple((other, ("no" if value == "yes" else "yes") if other == key else was) for other, was in answers)]
    }


@given(graphs(), sources, st.data())
@settings(deadline=None)
def test_no_key_outside_the_gaps_changes_the_answer_in_any_world(graph: Graph, source: Source, data: st.DataObject) -> None:
    node = data.draw(st.sampled_from(graph.nodes))
    assume(graph.metal[node] != "no")

    assert deciding_by_brute_force(graph, node, source) <= set(gaps(graph, node, source))


@given(graphs(metal=("yes", "yes", "yes", "no")), sources, st.data())
@settings(deadline=None)
def test_every_gap_changes_the_answer_in_some_world_where_no_other_metal_is_unknown(
    graph: Graph, source: Source, data: st.DataObject
) -> None:
    node = data.draw(st.sampled_from(graph.nodes))
    doubtful = replace(graph, metal={**graph.metal, node: data.draw(st.sampled_from(("yes", "unknown")))})

    assert deciding_by_brute_force(doubtful, node, source) == set(gaps(doubtful, node, source))


@given(graphs(), sources)
def test_gaps_are_keys_of_unknowns_other_than_the_own_metal_of_the_node(graph: Graph, source: Source) -> None:
    for node in graph.nodes:
        assert set(gaps(graph, node, source)) <= set(unknown_keys(graph)) - {graph.metal_gaps[node]}


def on_simple_paths(graph: Graph, node: str, source: Source) -> set[str]:
    """Keys of the unknowns on the paths, listed one by one, that lead from `source` to `node` and pass no certain piece twice."""
    made_of, start = {**graph.metal, node: "yes"}, cast(str, source)
    touches = [Link(start, contact.node, contact.touches, contact.gap) for contact in graph.contacts if contact.source == source]
    links = [link for link in (*graph.links, *touches) if link.conducts != "no"]
    certain: nx.Graph[str] = nx.Graph()
    certain.add_nodes_from([start, *graph.nodes])
    solid = {start, *(name for name in graph.nodes if made_of[name] == "yes")}
    certain.add_edges_from((link.a, link.b) for link in links if link.conducts == "yes" and {link.a, link.b} <= solid)
    piece = {name: min(together, key=str) for together in nx.connected_components(certain) for name in together}
    possible: nx.Graph[str] = nx.Graph()
    possible.add_nodes_from(piece.values())
    usable = [link for link in links if made_of.get(link.a) != "no" and made_of.get(link.b) != "no"]
    possible.add_edges_from((piece[link.a], piece[link.b]) for link in usable)
    paths = list(nx.all_simple_paths(possible, piece[start], piece[node])) if piece[start] != piece[node] else []
    passed = {name for path in paths for name in path}
    steps = {frozenset(step) for path in paths for step in itertools.pairwise(path)}
    crossed = {link.gap for link in usable if link.conducts == "unknown" and frozenset({piece[link.a], piece[link.b]}) in steps}
    return {gap for gap in crossed if gap} | {graph.metal_gaps[name] for name in passed & made_of.keys() if made_of[name] == "unknown"}


@given(graphs(), sources, st.data())
@settings(deadline=None, max_examples=200)
def test_gaps_are_the_unknowns_on_simple_paths_from_the_source(graph: Graph, source: Source, data: st.DataObject) -> None:
    node = data.draw(st.sampled_from(graph.nodes))
    assume(graph.metal[node] != "no")

    assert on_simple_paths(graph, node, source) == set(gaps(graph, node, source))


@given(graphs())
def test_runs_are_the_metal_that_is_one_piece_in_every_world(graph: Graph) -> None:
    sparest = settled(graph, dict.fromkeys(unknown_keys(graph), "no"))
    alone = {frozenset({node}) for node in graph.nodes if graph.metal[node] == "unknown"}

    assert {*pieces(sparest), *alone} == set(graph.runs)


def chain(length: int) -> Graph:
    """Metal lengths one after another, the first in the ground, no joint between them known to conduct."""
    nodes = tuple(f"length {at}" for at in range(length))
    links = tuple(Link(a, b, "unknown", f"joint {a}") for a, b in itertools.pairwise(nodes))
    return Graph(nodes, links, (Contact(nodes[0], "ground", "yes"),), dict.fromkeys(nodes, "yes"))


def test_gaps_of_the_far_end_of_ten_thousand_lengths_are_all_joints_between() -> None:
    graph = chain(10_000)

    assert gaps(graph, graph.nodes[-1], "ground") == tuple(link.gap for link in graph.links)


def test_dead_end_is_no_gap() -> None:
    graph = Graph(
        nodes=("entry", "sink", "spur"),
        links=(Link("entry", "sink", "unknown", "wall"), Link("entry", "spur", "unknown", "spur joint")),
        contacts=(Contact("entry", "ground", "yes"),),
        metal={"entry": "yes", "sink": "yes", "spur": "yes"},
    )

    assert gaps(graph, "sink", "ground") == ("wall",)


@pytest.mark.parametrize("metal", ["yes", "unknown"])
def test_unknown_metal_passes_nothing_on_for_certain(metal: Known) -> None:
    graph = Graph(
        nodes=("entry", "middle", "far"),
        links=(Link("entry", "middle", "yes"), Link("middle", "far", "yes")),
        contacts=(Contact("entry", "ground", "yes"),),
        metal={"entry": "yes", "middle": metal, "far": "yes"},
        metal_gaps={"middle": "middle metal"},
    )

    assert reached(graph, "ground") == {"entry": "yes", "middle": "yes", "far": metal}


def test_doubtful_metal_in_the_ground_elsewhere_is_no_gap() -> None:
    graph = Graph(
        nodes=("entry", "taps", "old pipe"),
        links=(Link("entry", "taps", "yes"),),
        contacts=(Contact("entry", "ground", "yes"), Contact("old pipe", "ground", "yes")),
        metal={"entry": "unknown", "taps": "yes", "old pipe": "unknown"},
        metal_gaps={"entry": "entry metal", "old pipe": "old pipe metal"},
    )

    assert gaps(graph, "taps", "ground") == ("entry metal",)


@settings(deadline=None, max_examples=50)
@given(graphs())
def test_the_nearest_gaps_of_a_small_graph_are_those_of_the_exact_search(graph: Graph) -> None:
    nearest = near_gaps(graph, "ground")

    assert {node: gaps(graph, node, "ground")[:MOST_GAPS] for node in graph.nodes} == {node: nearest(node) for node in graph.nodes}


@settings(deadline=None, max_examples=50)
@given(graphs(), st.sampled_from(("ground", "other_installation")))
def test_what_answers_can_bring_about_in_a_small_graph_is_what_the_search_for_each_node_finds(graph: Graph, source: Source) -> None:
    shared = near_deciding(graph, source)

    assert {node: deciding(graph, node, source)[1] for node in graph.nodes} == {node: shared(node)[1] for node in graph.nodes}


def test_in_a_large_graph_the_nearest_gaps_are_few_and_begin_at_the_node() -> None:
    nodes = tuple(f"n{number}" for number in range(EXACT_NODES + 10))
    links = tuple(Link(one, other, "unknown", f"link {one}") for one, other in pairwise(nodes))
    graph = Graph(nodes, links, (Contact(nodes[0], "ground", "unknown", "contact"),), dict.fromkeys(nodes, "yes"))

    found = near_gaps(graph, "ground")(nodes[0])

    assert found[:2] == ("contact", "link n0")
    assert len(found) == MOST_GAPS

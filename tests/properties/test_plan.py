"""Laws of the bonding plan, in every possible world."""

from collections.abc import Mapping, Set

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.properties.possible_worlds import graphs, pieces, touched, worlds

from bondwright.members import replace
from bondwright.metalwork.graph import Contact, Graph, Link, Run
from bondwright.metalwork.plan import connections
from bondwright.metalwork.worlds import reached


def live_and_bare(graph: Graph, calls: Mapping[Run, bool], at: Set[Run]) -> bool:
    """Whether in some world a live piece with a run that calls for a bond has no connection or bond, all being at `at`."""
    for _, world in worlds(graph):
        live = touched(world, "ground", "other_installation")
        for piece in pieces(world):
            calling = any(calls[run] and run & piece for run in calls)
            if piece & live and calling and not any(run & piece for run in at):
                return True
    return False


def every_live_run_calls(graph: Graph) -> dict[Run, bool]:
    """Calls for a bond at each run that the ground or another installation reaches in some world."""
    answers = [reached(graph, "ground"), reached(graph, "other_installation")]
    return {run: any(answer[node] != "no" for answer in answers for node in run) for run in graph.runs}


def some_runs(graph: Graph) -> st.SearchStrategy[frozenset[Run]]:
    return st.frozensets(st.sampled_from(graph.runs)) if graph.runs else st.just(frozenset[Run]())


@given(graphs(), st.data())
@settings(deadline=None, max_examples=300)
def test_no_live_run_that_calls_is_bare_in_any_world(graph: Graph, data: st.DataObject) -> None:
    bonded, calling = data.draw(some_runs(graph)), data.draw(some_runs(graph))
    calls = {run: run in calling for run in graph.runs}

    plan = connections(graph, calls, bonded)

    assert not live_and_bare(graph, calls, {*plan.connect, *bonded})


@given(graphs(), st.data())
@settings(deadline=None, max_examples=300)
def test_no_connection_is_needless(graph: Graph, data: st.DataObject) -> None:
    bonded, calls = data.draw(some_runs(graph)), every_live_run_calls(graph)

    plan = connections(graph, calls, bonded)

    assert all(live_and_bare(graph, calls, {*plan.connect, *bonded} - {run}) for run in plan.connect)


@given(graphs(), st.data())
def test_each_run_that_calls_is_connected_bonded_or_covered(graph: Graph, data: st.DataObject) -> None:
    bonded, calling = data.draw(some_runs(graph)), data.draw(some_runs(graph))

    plan = connections(graph, {run: run in calling for run in graph.runs}, bonded)

    named = [*plan.connect, *plan.bonded, *plan.covered]
    assert len(named) == len(set(named))
    assert calling == set(named)


@given(graphs(), st.data())
def test_where_every_live_run_calls_each_connection_is_at_a_contact_of_its_own(graph: Graph, data: st.DataObject) -> None:
    plan = connections(graph, every_live_run_calls(graph), data.draw(some_runs(graph)))

    touching = {contact.node for contact in graph.contacts if contact.touches != "no"}
    assert all(run & touching for run in plan.connect)


@given(graphs(), st.data())
@settings(deadline=None)
def test_named_runs_serve_a_covered_run_in_every_world_in_which_it_is_live(graph: Graph, data: st.DataObject) -> None:
    calls = every_live_run_calls(graph)

    plan = connections(graph, calls, data.draw(some_runs(graph)))

    for _, world in worlds(graph):
        live = touched(world, "ground", "other_installation")
        for piece in pieces(world):
            for run, servers in plan.covered.items():
                if piece & live and piece & run:
                    assert any(server & piece for server in servers)


@given(graphs(), st.data())
def test_order_changes_nothing(graph: Graph, data: st.DataObject) -> None:
    bonded, calling = data.draw(some_runs(graph)), data.draw(some_runs(graph))
    calls = {run: run in calling for run in graph.runs}
    other = replace(
        graph,
        nodes=tuple(data.draw(st.permutations(graph.nodes))),
        links=tuple(data.draw(st.permutations(graph.links))),
        contacts=tuple(data.draw(st.permutations(graph.contacts))),
    )

    before, after = connections(graph, calls, bonded), connections(other, calls, bonded)

    assert set(before.connect) == set(after.connect)
    assert {run: set(servers) for run, servers in before.covered.items()} == {run: set(servers) for run, servers in after.covered.items()}


@given(graphs(), st.data())
def test_one_more_bond_never_adds_a_connection(graph: Graph, data: st.DataObject) -> None:
    bonded, more, calls = data.draw(some_runs(graph)), data.draw(some_runs(graph)), every_live_run_calls(graph)

    before, after = connections(graph, calls, bonded), connections(graph, calls, bonded | more)

    assert set(after.connect) <= set(before.connect)


WATER, GAS, TAPS = frozenset({"water"}), frozenset({"gas"}), frozenset({"taps"})


def test_water_and_gas_are_each_connected_though_they_may_meet_at_the_boiler() -> None:
    graph = Graph(
        nodes=("water", "gas"),
        links=(Link("water", "gas", "unknown", "boiler"),),
        contacts=(Contact("water", "ground", "yes"), Contact("gas", "ground", "unknown", "gas duct")),
        metal={"water": "yes", "gas": "yes"},
    )

    plan = connections(graph, {WATER: True, GAS: True}, set())

    assert plan.connect == (WATER, GAS)


def test_length_beyond_a_wall_is_covered_by_the_connection_at_the_entry() -> None:
    graph = Graph(
        nodes=("water", "taps"),
        links=(Link("water", "taps", "unknown", "wall"),),
        contacts=(Contact("water", "ground", "yes"),),
        metal={"water": "yes", "taps": "yes"},
    )

    plan = connections(graph, {WATER: True, TAPS: True}, set())

    assert (plan.connect, plan.covered) == ((WATER,), {TAPS: (WATER,)})


def test_length_that_if_metal_is_one_piece_with_the_entry_gets_no_connection_of_its_own() -> None:
    graph = Graph(
        nodes=("water", "taps"),
        links=(Link("water", "taps", "yes"),),
        contacts=(Contact("water", "ground", "yes"), Contact("taps", "ground", "unknown")),
        metal={"water": "yes", "taps": "unknown"},
    )

    plan = connections(graph, {WATER: True, TAPS: True}, set())

    assert (plan.connect, plan.covered) == ((WATER,), {TAPS: (WATER,)})


def test_contact_known_to_be_none_calls_for_no_connection() -> None:
    graph = Graph(
        nodes=("water", "taps"),
        links=(Link("water", "taps", "unknown"),),
        contacts=(Contact("water", "ground", "yes"), Contact("taps", "ground", "no")),
        metal={"water": "yes", "taps": "yes"},
    )

    plan = connections(graph, {WATER: True, TAPS: True}, set())

    assert plan.connect == (WATER,)


def test_length_beyond_a_run_that_must_not_be_bonded_gets_its_own_connection() -> None:
    graph = Graph(
        nodes=("water", "taps"),
        links=(Link("water", "taps", "unknown", "wall"),),
        contacts=(Contact("water", "ground", "yes"),),
        metal={"water": "yes", "taps": "yes"},
    )

    plan = connections(graph, {WATER: False, TAPS: True}, set())

    assert plan.connect == (TAPS,)


def test_another_earthing_system_alone_calls_for_no_connection() -> None:
    graph = Graph(nodes=("water",), links=(), contacts=(Contact("water", "other_earthing_system", "yes"),), metal={"water": "yes"})

    plan = connections(graph, {WATER: True}, set())

    assert plan.connect == ()

"""The bonding plan of whole evaluations, in every possible world of the graph behind each."""

import itertools
from collections.abc import Collection, Iterator, Mapping

from hypothesis import HealthCheck, Phase, assume, example, given, settings
from tests.properties import traps
from tests.properties.descriptions import Said, installations
from tests.properties.judged import Judged, judged, levels, pack
from tests.properties.possible_worlds import pieces, touched

from bondwright.compose.answer import PartAnswer
from bondwright.members import replace
from bondwright.metalwork.graph import Graph, Known

MANY = settings(deadline=None, max_examples=120, phases=set(Phase) - {Phase.explain}, suppress_health_check=list(HealthCheck))
MOST_UNKNOWNS = 8
REQUIRED = pack().outcomes["main_bonding"].levels.index("required")
SMALL = installations(rooms=0)


def accepted(said: Said, most_unknowns: int | None = None) -> Judged:
    """The evaluation; the example is dropped where the description contradicts itself or leaves too many worlds."""
    found = judged(said)
    assume(found is not None)
    assert found is not None
    assume(most_unknowns is None or _unknowns(found.surveyed.graph) <= most_unknowns)
    return found


def _unknowns(graph: Graph) -> int:
    return [*graph.metal.values(), *(link.conducts for link in graph.links), *(contact.touches for contact in graph.contacts)].count(
        "unknown"
    )


def worlds(graph: Graph) -> Iterator[Graph]:
    """Every possible world of a graph."""
    either: tuple[Known, ...] = ("yes", "no")
    for choice in itertools.product(either, repeat=_unknowns(graph)):
        answers = iter(choice)

        def settled(value: Known, answers: Iterator[Known] = answers) -> Known:
            return next(answers) if value == "unknown" else value

        yield replace(
            graph,
            metal={node: settled(value) for node, value in graph.metal.items()},
            links=tuple(replace(link, conducts=settled(link.conducts)) for link in graph.links),
            contacts=tuple(replace(contact, touches=settled(contact.touches)) for contact in graph.contacts),
        )


def nodes_of(found: Judged, names: Collection[str]) -> set[str]:
    """All nodes of the parts of these names, lengths out of sight included."""
    return {node for run in found.surveyed.graph.runs for node in run if run & set(names)}


def calls(part: PartAnswer) -> bool:
    """Whether main bonding is called for and nothing speaks against it."""
    return levels(part)["main_bonding"] == REQUIRED and levels(part)["objection"] == 0


def bare(found: Judged, serving: set[str]) -> set[str]:
    """Nodes that call for a bond and in some world lie in a live piece of metal without a connection at `serving`."""
    calling = {node for node, part in found.parts.items() if calls(part)}
    return {
        node
        for world in worlds(found.surveyed.graph)
        for piece in pieces(world)
        if piece & touched(world, "ground", "other_installation") and not piece & serving
        for node in piece & calling
    }


def connected(found: Judged) -> set[str]:
    """Names of the parts with a new connection, or with a bond that counts or is to be tested."""
    tested = {part.part for part in found.evaluation.parts if part.act == "test_bond"}
    return {made.part for made in found.evaluation.plan.connections} | set(found.evaluation.plan.bonded) | tested


@MANY
@given(SMALL)
def test_no_live_part_that_calls_is_left_bare_in_any_world(said: Said) -> None:
    found = accepted(said, MOST_UNKNOWNS)

    assert bare(found, nodes_of(found, connected(found))) == set()


@MANY
@given(SMALL)
@example(traps.MULTILAYER_BEFORE_A_BOND)
def test_no_connection_of_the_plan_is_needless(said: Said) -> None:
    found = accepted(said, MOST_UNKNOWNS)

    needless = {made.part for made in found.evaluation.plan.connections if not bare(found, nodes_of(found, connected(found) - {made.part}))}
    assert needless == set()


@MANY
@given(installations())
def test_each_extraneous_service_is_connected_at_its_own_entry(said: Said) -> None:
    found = accepted(said)

    graph = found.surveyed.graph
    incoming = {
        contact.node for contact in graph.contacts if contact.source in ("ground", "other_installation") and contact.touches != "no"
    }
    entries = [
        node
        for node, length in found.surveyed.lengths.items()
        if node in incoming and node in found.parts and graph.metal[node] == "yes" and length.pointer.startswith(("/services", "/detailed"))
    ]
    left = {node: found.parts[node].act for node in entries if calls(found.parts[node]) and found.parts[node].part not in connected(found)}
    assert left == {}


@MANY
@given(installations())
def test_every_part_that_calls_is_connected_bonded_tested_or_covered(said: Said) -> None:
    found = accepted(said)

    plan = found.evaluation.plan
    counted = [*(made.part for made in plan.connections), *plan.bonded, *plan.covered]
    counted += [part.part for part in found.evaluation.parts if part.act == "test_bond"]
    expected = {part.part for part in found.evaluation.parts if calls(part)}
    assert expected == {name for name in counted if name in expected}
    assert len(counted) == len(set(counted))


def _house(radiator: Mapping[str, object]) -> Said:
    water = {"kind": "water", "comes_from": "ground", "enters_as": "plastic", "inside": "copper", "hidden": "no", "joined_to": []}
    heating = {"kind": "heating", "comes_from": "inside_only", "enters_as": "copper", "inside": "nothing", "joined_to": ["water"]}
    gas = {"kind": "gas", "comes_from": "ground", "enters_as": "steel", "inside": "copper", "hidden": "no", "joined_to": ["heating"]}
    return {
        "work": {"kind": "inspection", "inspected_on": "2026-11-25"},
        "services": [water, heating, {**gas, "meter": {"position": "outside"}}],
        "items": [{"kind": "radiator", "material": "steel", **radiator} for _ in range(10)],
    }


def test_a_house_with_ten_radiators_on_metal_pipe_gets_no_bond_on_a_radiator() -> None:
    found = judged(_house({"fed_by": "metal", "touches": "nothing_earthy"}))

    assert found is not None
    assert {part.act for part in found.evaluation.parts if part.kind == "radiator"} == {"covered"}


def test_a_house_with_ten_radiators_on_plastic_pipe_leaves_each_radiator() -> None:
    found = judged(_house({"fed_by": "plastic", "touches": "nothing_earthy"}))

    assert found is not None
    assert {part.act for part in found.evaluation.parts if part.kind == "radiator"} == {"leave"}


def test_a_house_with_ten_radiators_gets_its_connection_at_the_gas_entry_alone() -> None:
    found = judged(_house({"fed_by": "metal", "touches": "nothing_earthy"}))

    assert found is not None
    assert [made.part for made in found.evaluation.plan.connections] == ["services-2/entering"]

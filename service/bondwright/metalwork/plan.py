"""Where bonding connections go: one at each run through which a potential can first come in, and none besides.

Law: in no possible world does a run that calls for a bond, and that the ground or another installation reaches, lie in
a piece of metal without a connection or a bond.
"""

from collections.abc import Collection, Mapping, Set

from msgspec import Struct

from bondwright.metalwork.graph import Graph, Run

_INCOMING = ("ground", "other_installation")


class Plan(Struct, frozen=True):
    """What to connect to the main earthing terminal; every run that calls for a bond is in exactly one of the three.

    `connect`: a connection at each. `bonded`: bonded in every world already. `covered`: in every world in which a
    potential reaches it, a connection or bond at one of the named runs serves it; none is named where nothing can
    reach it. All in the order of `runs`.
    """

    connect: tuple[Run, ...]
    bonded: tuple[Run, ...]
    covered: Mapping[Run, tuple[Run, ...]]


def connections(graph: Graph, calls: Mapping[Run, bool], bonded: Set[Run]) -> Plan:
    """The plan for `graph`, with an entry in `calls` for each of its runs: does it call for a bond.

    `bonded` holds the runs that carry a bond for certain. A run of certain metal with a contact of its own is connected, so a length that
    may be metal, and is then one piece with it, brings nothing further. A run that calls gets a connection if a potential may come to
    it without first passing another run that calls or is bonded: so a contact of its own is enough, and a run without
    one gets a connection only where some contact leads to it through runs that neither call nor are bonded.
    """
    parts = graph.runs
    home = {node: run for run in parts for node in run}
    touching = [contact.node for contact in graph.contacts if contact.source in _INCOMING and contact.touches != "no"]
    own = {home[node] for node in touching if graph.metal[node] == "yes" and calls[home[node]]} - bonded
    safe = bonded | _one_piece_with(bonded, graph, home)
    passed_by = safe | _one_piece_with(own, graph, home)
    met = graph.spread(
        touching,
        enters=lambda node: node in home and home[node] not in passed_by,
        passes=lambda node: not calls[home[node]],
    )
    first = {home[node] for node in met if calls[home[node]]}
    connect = first - _one_piece_with(first, graph, home)
    return Plan(
        connect=tuple(run for run in parts if run in connect),
        bonded=tuple(run for run in parts if calls[run] and run in safe),
        covered=served([run for run in parts if calls[run] and run not in connect and run not in safe], connect | bonded, graph),
    )


def _one_piece_with(among: Set[Run], graph: Graph, home: Mapping[str, Run]) -> Set[Run]:
    """Lengths that may be metal and, if they are, are certainly one piece with certain metal of a run `among` those."""
    joined = graph.certain
    return {
        Run({node})
        for node in graph.nodes
        if graph.metal[node] == "unknown" and any(graph.metal[beside] == "yes" and home[beside] in among for beside in joined[node])
    }


def served(waiting: Collection[Run], serving: Set[Run], graph: Graph) -> Mapping[Run, tuple[Run, ...]]:
    """For each waiting run, the serving runs that it may be joined to, in the order of `runs`."""
    piece: dict[str, int] = {}
    for number, node in enumerate(graph.nodes):
        if node not in piece and graph.metal[node] != "no":
            piece.update(dict.fromkeys(graph.spread([node], lambda beside: graph.metal[beside] != "no", lambda _: True), number))
    servers: dict[int, list[Run]] = {}
    for run in graph.runs:
        if run in serving:
            servers.setdefault(piece[next(iter(run))], []).append(run)
    named = {number: tuple(serving_runs) for number, serving_runs in servers.items()}
    return {run: named.get(piece[next(iter(run))], ()) for run in waiting}

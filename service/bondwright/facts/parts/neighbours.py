"""A reading speaks for one certain run of metal; whether it speaks for the next one too may be open."""

from collections.abc import Mapping, Sequence
from typing import TypeAlias

from msgspec import Struct

from bondwright.conclude.conclusion import Level
from bondwright.facts.asking import ask_keys
from bondwright.facts.row import Judged
from bondwright.members import replace
from bondwright.metalwork.graph import Graph, Run
from bondwright.rulebook.pack import RulePack

_Open: TypeAlias = tuple[int, str | None]
"""The place of an open joint among the links, and the key of what would settle it."""


def less_certain_beside(pieces: Sequence[tuple[Run, Judged]], graph: Graph, pack: RulePack) -> list[Judged]:
    """The parts, in the order given, each less certain where an open joint decides whether another's reading frees it too.

    Only the certain level moves: what to act on stays. The questions about those joints are added.
    """
    freed_runs = [run for run, part in pieces if _freed(part)]
    if not freed_runs:
        return [part for _, part in pieces]
    parts = {node: part for run, part in pieces for node in run}
    beside = dict[str, _Beside]()
    for run in freed_runs:
        if run and (node := next(iter(run))) not in beside:
            met = tuple(graph.spread([node], lambda neighbour: graph.metal[neighbour] != "no", lambda _: True))
            freed = {id(part): part for name in met if (part := parts.get(name)) and _freed(part)}
            beside |= dict.fromkeys(met, _Beside.of(tuple(freed.values())))
    at: dict[str, list[_Open]] = {node: [] for node in graph.nodes}
    for place, link in enumerate(graph.every_link()):
        if link.conducts == "unknown" and "no" not in (graph.metal[link.a], graph.metal[link.b]):
            at[link.a].append((place, link.gap))
            at[link.b].append((place, link.gap))
    return [_doubted(part, beside.get(next(iter(run), "")), run, at, graph, pack) for run, part in pieces]


class _Beside(Struct, frozen=True):
    """The freed parts that may be joined to each other, and the least cautious of their worst cases, by outcome."""

    freed: Sequence[Judged]
    least: Mapping[str, int]

    @staticmethod
    def of(freed: Sequence[Judged]) -> "_Beside":
        return _Beside(freed, {name: min(part.levels[name].worst_case for part in freed) for name in freed[0].levels})


def _freed(part: Judged) -> bool:
    """Whether a reading makes it less cautious than it would be without."""
    without = part.without_evidence
    return without is not None and any(level.worst_case < without.levels[name].worst_case for name, level in part.levels.items())


def _doubted(part: Judged, beside: _Beside | None, run: Run, at: Mapping[str, Sequence[_Open]], graph: Graph, pack: RulePack) -> Judged:
    """`at`: the open joints of each node."""
    if beside is None or (len(beside.freed) == 1 and beside.freed[0] is part):
        return part
    levels: Mapping[str, Level] = {
        name: replace(level, certain=min(level.certain, beside.least[name])) for name, level in part.levels.items()
    }
    here = dict(one for node in run for one in at[node])
    keys = [here[place] for place in sorted(here)]
    keys += [graph.metal_gaps.get(node) for node in sorted(run)]
    return replace(part, levels=levels, doubts=ask_keys(keys, pack))

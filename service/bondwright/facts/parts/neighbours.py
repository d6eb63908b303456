"""A reading speaks for one certain run of metal; whether it speaks for the next one too may be open."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from bondwright.conclude.conclusion import Level
from bondwright.facts.asking import ask_keys
from bondwright.facts.row import Judged
from bondwright.metalwork.graph import Graph, Run, spread
from bondwright.rulebook.pack import RulePack


def less_certain_beside(pieces: Sequence[tuple[Run, Judged]], graph: Graph, pack: RulePack) -> list[Judged]:
    """The parts, in the order given, each less certain where an open joint decides whether another's reading frees it too.

    Only the certain level moves: what to act on stays. The questions about those joints are added.
    """
    freed_runs = [run for run, part in pieces if _freed(part)]
    if not freed_runs:
        return [part for _, part in pieces]
    parts = {node: part for run, part in pieces for node in run}
    joined = graph.possible
    doubts: dict[str, list[Judged]] = {}
    for run in freed_runs:
        for node in spread(sorted(run), joined, lambda neighbour: graph.metal[neighbour] != "no", lambda _: True):
            doubts.setdefault(node, []).append(parts[sorted(run)[0]])
    return [_doubted(part, [freed for node in sorted(run) for freed in doubts.get(node, ())], run, graph, pack) for run, part in pieces]


def _freed(part: Judged) -> bool:
    """Whether a reading makes it less cautious than it would be without."""
    without = part.without_evidence
    return without is not None and any(level.worst_case < without.levels[name].worst_case for name, level in part.levels.items())


def _doubted(part: Judged, freed_beside: Sequence[Judged], run: Run, graph: Graph, pack: RulePack) -> Judged:
    if all(freed is part for freed in freed_beside):
        return part
    levels: Mapping[str, Level] = {
        name: replace(level, certain=min(level.certain, *(freed.levels[name].worst_case for freed in freed_beside)))
        for name, level in part.levels.items()
    }
    joints = [link for link in graph.links if {link.a, link.b} & run and "no" not in (graph.metal[link.a], graph.metal[link.b])]
    keys = [link.gap for link in joints if link.conducts == "unknown"]
    keys += [graph.metal_gaps.get(node) for node in sorted(run)]
    return replace(part, levels=levels, doubts=ask_keys(keys, pack))

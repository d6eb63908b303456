"""A reading speaks for one certain run of metal; whether it speaks for the next one too may be open."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from bondwright.evaluate.reasoning.ladder import Level
from bondwright.evaluate.reasoning.questions import questions_of
from bondwright.evaluate.reasoning.stages import Subject
from bondwright.metalwork.graph import Graph, Run, neighbours, spread
from bondwright.rulebook.pack import RulePack


def unsettle(pieces: Sequence[tuple[Run, Subject]], graph: Graph, pack: RulePack) -> list[Subject]:
    """The subjects, in the order given, each less firm where an open joint decides whether another's reading frees it too.

    Only `settled` moves: what to act on stays. The questions about those joints are added.
    """
    freed = [run for run, one in pieces if _freed(one)]
    if not freed:
        return [one for _, one in pieces]
    subjects = {node: one for run, one in pieces for node in run}
    joined = neighbours(graph, "unknown")
    doubts: dict[str, list[Subject]] = {}
    for run in freed:
        for node in spread(sorted(run), joined, lambda other: graph.metal[other] != "no", lambda _: True):
            doubts.setdefault(node, []).append(subjects[sorted(run)[0]])
    return [_doubted(one, [other for node in sorted(run) for other in doubts.get(node, ())], run, graph, pack) for run, one in pieces]


def _freed(one: Subject) -> bool:
    """Whether a reading makes it less cautious than it would be without."""
    return one.bare is not None and any(level.worst_case < one.bare.levels[name].worst_case for name, level in one.levels.items())


def _doubted(one: Subject, others: Sequence[Subject], run: Run, graph: Graph, pack: RulePack) -> Subject:
    if all(other is one for other in others):
        return one
    levels: Mapping[str, Level] = {
        name: replace(level, settled=min(level.settled, *(other.levels[name].worst_case for other in others)))
        for name, level in one.levels.items()
    }
    joints = [link for link in graph.links if {link.a, link.b} & run and "no" not in (graph.metal[link.a], graph.metal[link.b])]
    keys = [link.gap for link in joints if link.conducts == "unknown"]
    keys += [graph.metal_gaps.get(node) for node in sorted(run)]
    return replace(one, levels=levels, doubts=questions_of(keys, pack))

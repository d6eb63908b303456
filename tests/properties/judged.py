"""Whole evaluations of described installations by the published pack, with the part that holds each length."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache

from tests.described import terms
from tests.properties.descriptions import Said
from tests.rules.revisions import newest

from bondwright.compose.answer import Evaluation, PartAnswer, Verdict
from bondwright.engine.channels import TwoChannels
from bondwright.errors import Contradiction
from bondwright.evaluate.order import evaluate
from bondwright.installation.description import Installation
from bondwright.installation.documents import read_document
from bondwright.metalwork.lengths import Survey
from bondwright.metalwork.survey import survey
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import RulePack

ENDS = ("near-end", "far-end")


@dataclass(frozen=True, eq=False)
class Judged:
    """An evaluation with the graph behind it."""

    evaluation: Evaluation
    installation: Installation

    @cached_property
    def surveyed(self) -> Survey:
        """The graph."""
        return survey(self.installation, pack())

    @cached_property
    def parts(self) -> Mapping[str, PartAnswer]:
        """The answer for the part that holds each length, by node; seen lengths only."""
        return _parts(self.evaluation, self.surveyed)

    def holding(self, node: str) -> tuple[str, ...]:
        """The nodes here of a length that another description calls `node`: itself, or its two ends where it is not known to be one."""
        ends = tuple(f"{node}/{end}" for end in ENDS)
        return tuple(name for name in (node, *ends) if name in self.parts)


@cache
def pack() -> RulePack:
    """The newest revision of the newest edition."""
    return newest("bs7671-2018-a4")


@cache
def _channels() -> TwoChannels:
    return TwoChannels(pack(), Kept())


def judged(said: Said) -> Judged | None:
    """The evaluation of `said`; none where it contradicts itself. Of what was judged lately the same again: laws withhold by turns."""
    return _judged(json.dumps(said).encode())


@lru_cache(maxsize=256)
def _judged(said: bytes) -> Judged | None:
    installation, _ = read_document(said, Installation, terms())
    try:
        evaluation = evaluate(installation, pack(), _channels().acts, _channels().memory)
    except Contradiction:
        return None
    return Judged(evaluation, installation)


def level(verdict: Verdict) -> int:
    """How cautious the level to act on is, from 0."""
    return pack().outcomes[verdict.outcome].levels.index(verdict.worst_case)


def levels(part: PartAnswer) -> Mapping[str, int]:
    """The level to act on by outcome."""
    return {verdict.outcome: level(verdict) for verdict in part.verdicts}


def all_parts(*some: Judged) -> Iterator[PartAnswer]:
    """Every part of some evaluations."""
    for one in some:
        yield from one.evaluation.parts


def _parts(evaluation: Evaluation, surveyed: Survey) -> Mapping[str, PartAnswer]:
    answers = {part.part: part for part in evaluation.parts}
    home = {node: node for node in surveyed.lengths}
    for run in surveyed.graph.runs:
        seen = [node for node in surveyed.graph.nodes if node in run and surveyed.lengths[node].seen]
        if seen:
            home |= dict.fromkeys(seen, seen[0])
    return {node: answers[home[node]] for node, length in surveyed.lengths.items() if length.seen and home[node] in answers}

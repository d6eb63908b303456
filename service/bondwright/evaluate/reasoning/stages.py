"""Runs the stages of a pack over subjects of one kind, each stage seeing what the earlier ones concluded."""

from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TypeAlias

from bondwright.evaluate.answer import Question
from bondwright.evaluate.reasoning.ladder import Level, Size, Standing, conclude_level, conclude_size, standing
from bondwright.rulebook.facts import Between, Facts, FactValue
from bondwright.rulebook.pack import RulePack

Acting: TypeAlias = Callable[[str, str, Sequence[Facts]], list[frozenset[str]]]
"""For a stage and a kind of subject, the ids of the acting rules of each row, in row order."""


@dataclass(frozen=True, slots=True)
class Subject:
    """Something that rules judge: its facts, and what each unknown one would take to be known.

    `facts`: every declared fact of its kind, and earlier outcomes. `settled`: the same with outcomes as far as settled.
    `questions`: for a fact that is worked out from the description, the questions behind it. `bare`: the same subject
    without the evidence that this one is judged with, for better evidence could still be brought.
    `doubts`: questions that decide whether evidence brought for another subject speaks for this one too.
    `possible`: for an unknown fact, what answers can make of it, where that is less than its kind allows. `implied`: for an unknown fact,
    the one value that what is told leaves it, whatever is answered.
    """

    of: str
    name: str
    pointer: str
    facts: Facts
    settled: Facts
    questions: Mapping[str, tuple[Question, ...]] = field(default_factory=dict)
    bare: "Subject | None" = None
    doubts: tuple[Question, ...] = ()
    possible: Mapping[str, tuple[FactValue, ...]] = field(default_factory=dict)
    implied: Mapping[str, FactValue] = field(default_factory=dict)
    levels: Mapping[str, Level] = field(default_factory=dict)
    sizes: Mapping[str, Size] = field(default_factory=dict)
    acting: frozenset[str] = frozenset()
    stands: Standing = field(default_factory=lambda: Standing({}, {}))

    @property
    def row(self) -> Hashable:
        """What is concluded and explained of it depends on this alone, the pack and the kind of subject besides."""
        return tuple(self.facts.values()), tuple(self.settled.values())


def subject(pack: RulePack, of: str, name: str, pointer: str, known: Facts, questions: Mapping[str, tuple[Question, ...]]) -> Subject:
    """A subject with the facts of its kind: those in `known`, the rest unknown."""
    facts = {fact.name: known.get(fact.name, fact.unknown()) for fact in pack.facts_of(of)}
    return Subject(of, name, pointer, facts, dict(facts), questions)


def run_stages(
    pack: RulePack, of: str, subjects: Sequence[Subject], acting: Acting, stages: Sequence[str] | None = None
) -> tuple[Subject, ...]:
    """The subjects with every outcome of their kind concluded, in the order given; `stages`: those to run, if not all of the pack's."""
    if not subjects:
        return ()
    evidence = frozenset(fact.name for fact in pack.facts_of(of) if fact.evidence)
    done = [_Underway(one) for one in subjects]
    for stage in pack.stages if stages is None else stages:
        if pack.rules_of(stage, of):
            fired = acting(stage, of, [one.settled for one in done])
            for one, ids in zip(done, fired, strict=True):
                one.conclude(pack, stage, ids, evidence)
    return tuple(one.subject() for one in done)


@dataclass(frozen=True, slots=True)
class _Concluded:
    """What one stage adds to a subject."""

    stands: Standing
    levels: Mapping[str, Level]
    sizes: Mapping[str, Size]
    facts: Facts
    settled: Facts


class _Underway:
    """A subject while its stages run: its members grow in place, for a copy a stage took a twelfth of an evaluation (2026-11-29)."""

    def __init__(self, one: Subject) -> None:
        self._one, self._acting = one, one.acting
        self._facts, self.settled = dict(one.facts), dict(one.settled)
        self._levels, self._sizes = dict(one.levels), dict(one.sizes)
        self._known, self._known_settled = dict(one.stands.known), dict(one.stands.settled)

    def conclude(self, pack: RulePack, stage: str, acting: frozenset[str], evidence: frozenset[str]) -> None:
        """Adds what a stage concludes."""
        of = self._one.of
        key = ("concluded", stage, of, (tuple(self._facts.values()), tuple(self.settled.values())), acting)
        added = pack.remembered(key, lambda: _concluded(of, self._facts, self.settled, pack, stage, acting, evidence))
        self._facts.update(added.facts)
        self.settled.update(added.settled)
        self._levels.update(added.levels)
        self._sizes.update(added.sizes)
        self._known.update(added.stands.known)
        self._known_settled.update(added.stands.settled)
        self._acting |= acting

    def subject(self) -> Subject:
        """The subject with all that was concluded."""
        return replace(
            self._one,
            facts=self._facts,
            settled=self.settled,
            levels=self._levels,
            sizes=self._sizes,
            acting=self._acting,
            stands=Standing(self._known, self._known_settled),
        )


def _concluded(
    of: str, known: Facts, known_settled: Facts, pack: RulePack, stage: str, acting: frozenset[str], evidence: frozenset[str]
) -> _Concluded:
    stands = standing(pack.rules_of(stage, of), known, known_settled, evidence)
    levels: dict[str, Level] = {}
    sizes: dict[str, Size] = {}
    facts: dict[str, FactValue] = {}
    settled: dict[str, FactValue] = {}
    for outcome in pack.outcomes.values():
        if outcome.of != of or outcome.stage != stage:
            continue
        if outcome.levels:
            level = conclude_level(outcome, pack, acting, stands)
            levels[outcome.name] = level
            facts[outcome.name] = Between(level.lowest, level.worst_case)
            settled[outcome.name] = Between(min(level.settled, level.worst_case), level.worst_case)
        else:
            size = conclude_size(outcome, pack, acting, known, stands)
            sizes[outcome.name] = size
            facts[outcome.name] = settled[outcome.name] = Between(size.lowest, size.highest)
    return _Concluded(stands, levels, sizes, facts, settled)

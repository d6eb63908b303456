"""Runs the stages of a pack over rows about one kind of subject, each stage seeing what the earlier ones concluded."""

from collections.abc import Callable, Hashable, Sequence
from typing import TypeAlias

from bondwright.conclude.alike import alike
from bondwright.conclude.conclusion import Conclusion, Level, Size
from bondwright.conclude.levels import level_of
from bondwright.conclude.sizes import size_of
from bondwright.rulebook.facts import Between, Facts, FactValue
from bondwright.rulebook.meaning import Acts, acts
from bondwright.rulebook.memory import Memory
from bondwright.rulebook.pack import RulePack

Acting: TypeAlias = Callable[[str, str, Sequence[tuple[Facts, Facts]]], list[Acts]]
"""For a stage and a kind of subject, the rules that act on each row, given with outcomes as known and as far as certain."""

_NO_ACTS = Acts(frozenset(), frozenset(), frozenset())


def conclude(pack: RulePack, of: str, rows: Sequence[Facts], acting: Acting, memory: Memory) -> tuple[Conclusion, ...]:
    """The conclusion of each row, every declared fact of the kind present; what is concluded of one is remembered for all alike.

    Rows that are one object have one conclusion.

    Raises: Contradiction, if no rule gives a size; EngineDisagreement, from `acting`.
    """
    alike_as = pack.derived(("alike", of), lambda: alike(pack, of))
    own: dict[int, Conclusion] = {}
    missing: dict[Hashable, list[Facts]] = {}
    for at, row in {id(row): row for row in rows}.items():
        key: Hashable = (pack.digest, "concluded", of, alike_as(row))
        if isinstance(known := memory.get(key), Conclusion):
            own[at] = _as(known, row)
        else:
            missing.setdefault(key, []).append(row)
    if missing:
        concluded = through(pack, pack.stages, [begun(of, those[0]) for those in missing.values()], acting)
        for (key, those), new in zip(missing.items(), concluded, strict=True):
            memory.put(key, new)
            own |= {id(row): _as(new, row) for row in those}
    return tuple([own[id(row)] for row in rows])


def _as(other: Conclusion, row: Facts) -> Conclusion:
    """The conclusion of a row that is alike to the one of which the other was drawn."""
    facts = {**other.facts, **row}
    certain = facts if other.certain is other.facts else {**other.certain, **row}
    return Conclusion(other.of, facts, certain, other.levels, other.sizes, other.acts, other.alike)


def begun(of: str, row: Facts) -> Conclusion:
    """A row of which nothing is concluded yet; earlier outcomes that stand in it stand as given."""
    return Conclusion(of, row, row, {}, {}, _NO_ACTS)


def through(pack: RulePack, stages: Sequence[str], conclusions: Sequence[Conclusion], acting: Acting) -> tuple[Conclusion, ...]:
    """The conclusions, all about one kind of subject, with what those stages add. Raises: as `conclude`."""
    if not conclusions:
        return ()
    of = conclusions[0].of
    underway = [_Underway(conclusion) for conclusion in conclusions]
    for stage in stages:
        if pack.rules_of(stage, of):
            acting_rules = acting(stage, of, [(row.facts, row.certain) for row in underway])
            for row, its_acts in zip(underway, acting_rules, strict=True):
                row.conclude(pack, stage, its_acts)
    return tuple(row.concluded() for row in underway)


def plainly(pack: RulePack) -> Acting:
    """Which rules act, read without the engine."""

    def acting(stage: str, of: str, rows: Sequence[tuple[Facts, Facts]]) -> list[Acts]:
        rules, evidence = pack.rules_of(stage, of), pack.evidence_of(of)
        return [acts(rules, known, certain, evidence) for known, certain in rows]

    return acting


class _Underway:
    """A row while its stages run: its members grow in place, for a copy a stage took a twelfth of an evaluation (2026-11-29).

    `facts` and `certain` are one until an outcome is known otherwise than it is certain, so that one reading does for both.
    """

    def __init__(self, conclusion: Conclusion) -> None:
        self._of, self._acts = conclusion.of, conclusion.acts
        self.facts: dict[str, FactValue] = dict(conclusion.facts)
        self.certain: dict[str, FactValue] = self.facts if conclusion.certain is conclusion.facts else dict(conclusion.certain)
        self._levels: dict[str, Level] = dict(conclusion.levels)
        self._sizes: dict[str, Size] = dict(conclusion.sizes)

    def conclude(self, pack: RulePack, stage: str, acts: Acts) -> None:
        """Adds what a stage concludes; its outcomes do not see each other."""
        known, certain = dict[str, FactValue](), dict[str, FactValue]()
        for outcome in pack.outcomes_of(stage, self._of):
            if outcome.levels:
                level = self._levels[outcome.name] = level_of(outcome, pack, acts)
                known[outcome.name] = Between(level.lowest, level.worst_case)
                certain[outcome.name] = Between(min(level.certain, level.worst_case), level.worst_case)
            else:
                size = self._sizes[outcome.name] = size_of(outcome, pack, acts, self.facts)
                known[outcome.name] = certain[outcome.name] = Between(size.lowest, size.highest)
        if self.certain is self.facts and known != certain:
            self.certain = dict(self.facts)
        self.facts |= known
        self.certain |= certain
        self._acts = Acts(self._acts.worst_case | acts.worst_case, self._acts.certain | acts.certain, self._acts.lowest | acts.lowest)

    def concluded(self) -> Conclusion:
        """The conclusion as far as the stages have run."""
        return Conclusion(self._of, self.facts, self.certain, self._levels, self._sizes, self._acts)

"""A row of facts about one subject, with what is asked of the description to settle each, and the row with its conclusion."""

from collections.abc import Mapping, Sequence

from msgspec import Struct, field

from bondwright.conclude.conclusion import Conclusion, Level, Size
from bondwright.conclude.reasoning import Reasoning
from bondwright.conclude.what_if import Answers
from bondwright.rulebook.facts import Facts, Known
from bondwright.rulebook.pack import RulePack


class Asked(Struct, frozen=True, gc=False):
    """A question about the description: its name, and the place that it is about, if it has one."""

    ask: str
    pointer: str | None


_ANY = Answers()


class Row(Struct, frozen=True):
    """What is known of something that rules judge.

    `of`: its kind. `facts`: every declared fact of that kind, in the order of the pack. `asked`: for a fact that is worked out from the
    description, the questions behind it, if any. `answers`: what answers can make of its open facts, where that is less than their kind
    allows.
    """

    of: str
    name: str
    pointer: str
    facts: Facts
    asked: Mapping[str, tuple[Asked, ...]] = field(default_factory=dict)
    answers: Answers = _ANY

    @property
    def told_of(self) -> tuple[str, ...]:
        """The facts of which something is asked."""
        return tuple(self.asked)


class Judged(Struct, frozen=True):
    """A row with what was concluded of it.

    `levels`: those concluded, less certain where a neighbour decides. `without_evidence`: what is concluded without the reading that this
    row is judged with, for a better one could still be taken; none where it has none. `doubts`: the questions that decide whether a
    reading of another subject speaks for this one too.
    """

    row: Row
    conclusion: Conclusion
    levels: Mapping[str, Level]
    without_evidence: Conclusion | None = None
    doubts: tuple[Asked, ...] = ()

    @property
    def name(self) -> str:
        """The name of the subject."""
        return self.row.name

    @property
    def pointer(self) -> str:
        """Its place in the description."""
        return self.row.pointer

    @property
    def facts(self) -> Facts:
        """Its facts, with the outcomes concluded."""
        return self.conclusion.facts

    @property
    def sizes(self) -> Mapping[str, Size]:
        """The sizes concluded."""
        return self.conclusion.sizes


def row_of(
    pack: RulePack,
    of: str,
    name: str,
    pointer: str,
    known: Facts,
    asked: Mapping[str, tuple[Asked, ...]] | None = None,
    answers: Answers | None = None,
) -> Row:
    """A row with the facts of its kind: those in `known`, the rest unknown."""
    unknown = pack.unknown_of(of)
    declared = known if known.keys() <= unknown.keys() else {name: value for name, value in known.items() if name in unknown}
    facts = {**unknown, **declared}
    return Row(of, name, pointer, facts, {fact: behind for fact, behind in (asked or {}).items() if behind}, answers or _ANY)


def judged(rows: Sequence[Row], reasoning: Reasoning) -> tuple[Judged, ...]:
    """Each row, all about one kind of subject, with its conclusion. Raises: as `conclude`."""
    if not rows:
        return ()
    conclusions = reasoning.conclude(rows[0].of, [row.facts for row in rows])
    return tuple(Judged(row, conclusion, conclusion.levels) for row, conclusion in zip(rows, conclusions, strict=True))


def at_least(found: Judged, outcome: str, level: str, pack: RulePack) -> Known:
    """Whether an outcome comes to that level or a more cautious one; no where the pack has no such level."""
    ladder, stands = pack.outcomes[outcome].levels, found.levels[outcome]
    index = ladder.index(level) if level in ladder else len(ladder)
    return "yes" if stands.certain >= index else "unknown" if stands.worst_case >= index else "no"

"""What the rules of a pack decide, as it can be read: each outcome with its levels and what they are called; and its acts."""

from dataclasses import dataclass
from typing import Literal, cast

from bondwright.rulebook.pack import COVERED, LOOK_FIRST, Outcome, RulePack


@dataclass(frozen=True, slots=True)
class PackLevel:
    """A step on the ladder of an outcome."""

    level: str
    words: str
    code: str | None


@dataclass(frozen=True, slots=True)
class InsteadOfLevel:
    """What `act_on` may be in place of a level, besides `not_judged`."""

    act_on: str
    words: str


@dataclass(frozen=True, slots=True)
class PackOutcome:
    """Something that rules decide about one kind of thing: a level of a ladder, or a number.

    `instead`: what `act_on` may be where the level is not settled, or where another part's bond serves. `cautious`: which end of a
    number that is not settled is the cautious one; null for a ladder, where it is the last level.
    """

    outcome: str
    of: str
    stage: str
    levels: tuple[PackLevel, ...]
    instead: tuple[InsteadOfLevel, ...]
    unit: str | None
    cautious: Literal["larger", "smaller"] | None


@dataclass(frozen=True, slots=True)
class PackAct:
    """Something that the rule pack says to do. `mark`: how it stands on a list of work; `instruction`: what programs do with it."""

    act: str
    mark: str
    instruction: str


def acts_of(pack: RulePack) -> tuple[PackAct, ...]:
    """Every act of `pack`, in the order of the pack."""
    return tuple(PackAct(one.act, one.mark, one.instruction) for one in pack.advice.values())


def outcomes_of(pack: RulePack) -> tuple[PackOutcome, ...]:
    """Every outcome of `pack`, in the order of the pack."""
    return tuple(_outcome(outcome) for outcome in pack.outcomes.values())


def _outcome(outcome: Outcome) -> PackOutcome:
    codes = outcome.codes or ("",) * len(outcome.levels)
    ladder = zip(outcome.levels, outcome.words, codes, strict=True)
    return PackOutcome(
        outcome=outcome.name,
        of=outcome.of,
        stage=outcome.stage,
        levels=tuple(PackLevel(level, words, code or None) for level, words, code in ladder),
        instead=tuple(InsteadOfLevel(act_on, words) for act_on, words in _instead(outcome).items() if words),
        unit=outcome.unit or None,
        cautious=None if outcome.levels else cast(Literal["larger", "smaller"], outcome.cautious),
    )


def _instead(outcome: Outcome) -> dict[str, str]:
    unsettled = {outcome.unsettled.act_on: outcome.unsettled.words} if outcome.unsettled else {}
    return unsettled | {COVERED: outcome.covered, LOOK_FIRST: outcome.look_first}

"""The shape of an outline: for each part, location, earthing and feeder what to do, and on what it rests; sentences stand in the answer."""

from dataclasses import dataclass
from typing import Final, Literal

FORM: Final = 1
"""The form of outlines, which `form` names."""


@dataclass(frozen=True, slots=True)
class OutlinedQuestion:
    """Something that could change what is said here: the fact, as the rule pack names it, and the field that answers it, if one does."""

    fact: str
    pointer: str | None


@dataclass(frozen=True, slots=True)
class OutlinedSize:
    """A number from `lowest` to `highest` in `unit`, one value when `firm`; take the cautious end. `provisional`: usable until then.

    `outcome`: what it is a size of, as the rule pack names it. `questions`: by their place in those of the outline.
    """

    outcome: str
    unit: str
    lowest: float
    highest: float
    provisional: float | None
    firm: bool
    questions: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class OutlinedBond:
    """A bond that is there. `counts`: whether it connects, as is safe to act on. `code`: what an inspection reports of it, if anything."""

    bond: str
    pointer: str
    counts: str
    code: str | None


@dataclass(frozen=True, slots=True)
class OutlinedConnection:
    """A part that can be touched in a location. `act_on`: whether it is shown to be connected, as is safe to act on."""

    part: str
    pointer: str
    act_on: str


@dataclass(frozen=True, slots=True)
class OutlinedAct:
    """What to do about a part, a location, an earthing besides that of the supply, or the feeding circuit.

    `instruction`: what a program does with it, the same words for all rule packs; `act`: what the pack calls it. `firm`: no fact that is
    missing could change what is called for, what speaks against it, or what is said of what is there. `sizes`: those that its sentence
    names, or of the connections in a location. `place`: where to connect, in words. `code`: what an inspection reports, if anything.
    `clauses`: what it rests on. `test`: the look or measurement to make, as the rule pack names it. `covered_by`: parts whose
    connections serve this one. `parts`: what can be touched in a location.
    """

    of: Literal["part", "location", "earthing", "feeder"]
    id: str
    pointer: str
    instruction: str
    act: str
    firm: bool
    sizes: tuple[OutlinedSize, ...]
    place: str | None
    code: str | None
    clauses: tuple[str, ...]
    test: str | None
    covered_by: tuple[str, ...]
    bonds: tuple[OutlinedBond, ...]
    parts: tuple[OutlinedConnection, ...]
    questions: tuple[int, ...]
    could_relax: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class OutlinedGap:
    """Something described that no rule covers: nothing of it is cleared, and nothing ordered."""

    of: str
    kind: str
    pointer: str
    questions: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class OutlinedUnused:
    """A fact that was told and not used. `fact`: its name. `why`: why it was not used."""

    pointer: str
    fact: str
    why: str


@dataclass(frozen=True, slots=True)
class OutlineDigests:
    """What it rests on, by SHA-256 in hex. `rule_pack`: of the rule pack. `description`: as it was sent. `evaluation`: as it is kept."""

    rule_pack: str
    description: str
    evaluation: str


@dataclass(frozen=True, slots=True)
class Outline:
    """An answer in short. It overrides nothing: the verdicts are those of the answer, and whatever is not said here stands there.

    `in_use_on_that_day`: whether the rule pack was in use on the day of the work. `sizes`: of the main bond and the earthing conductor.
    `keep_off`: places in the description of what may be live; before anything else, keep off, and show why the answer says so.
    """

    form: int
    reference: str
    pack_id: str
    in_use_on_that_day: bool
    digests: OutlineDigests
    acts: tuple[OutlinedAct, ...]
    sizes: tuple[OutlinedSize, ...]
    questions: tuple[OutlinedQuestion, ...]
    not_judged: tuple[OutlinedGap, ...]
    told_not_used: tuple[OutlinedUnused, ...]
    keep_off: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OutlineLinks:
    """Where the rest stands. `evaluation`: the whole answer. `record`: all that is kept. `replay`: to be worked out again, by POST.

    `rule_pack`: the one that decided.
    """

    evaluation: str
    record: str
    replay: str
    rule_pack: str

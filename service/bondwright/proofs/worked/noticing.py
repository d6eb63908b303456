"""Whether the worked cases of a pack notice its mistakes: what none of them notices is told with its place, and needs a case."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import chain
from typing import TypeAlias

from bondwright.proofs.findings import Finding
from bondwright.proofs.joined import alike
from bondwright.proofs.mutations import Mutant
from bondwright.proofs.solver.asking import SECONDS
from bondwright.proofs.solver.difference import same
from bondwright.proofs.worked.calculations import WorkedRow
from bondwright.proofs.worked.claims import Claims, Judged, with_other_digest
from bondwright.proofs.worked.mistakes import mistakes

Part: TypeAlias = tuple[str, str]
"""A part of a pack in which a mistake can be made, as `Mutant.part` has it."""
Tell: TypeAlias = Callable[[int, int], None]
"""Is told how many mistakes were made, of how many."""

CHECK = "worked cases"
_IN_CALCULATIONS = frozenset({"reference", "value"})


@dataclass(frozen=True, slots=True)
class Score:
    """How many mistakes were made, noticed by a claim, and the same as the pack in every input; what is left survived."""

    made: int
    noticed: int
    same: int
    survivors: tuple[Finding, ...]

    def counted(self) -> str:
        """The score in words."""
        return f"{self.noticed} of {self.made} mistakes noticed by a worked case, {self.same} change nothing, {len(self.survivors)} survive"


def scored(
    claims: Claims,
    among: frozenset[Part] | None = None,
    tell: Tell | None = None,
    seconds: float = SECONDS,
    further: Iterable[Mutant] = (),
) -> Score:
    """The score of a pack whose claims all hold. `among`: the parts in which mistakes are made, if not all; `further`: more mistakes."""
    made = [one for one in chain(mistakes(claims.pack), further) if among is None or one.part in among]
    noticed = alike_ = 0
    found: list[Finding] = []
    for number, mutant in enumerate(made, start=1):
        if _noticed(mutant, claims):
            noticed += 1
        elif survived := _told_apart(mutant, claims, seconds):
            found += survived
        else:
            alike_ += 1
        if tell:
            tell(number, len(made))
    return Score(len(made), noticed, alike_, tuple(found))


def unseen(claims: Claims, changes: Iterable[Mutant], tell: Tell | None = None, seconds: float = SECONDS) -> tuple[Finding, ...]:
    """Each change of which no claim tells the pack from the one without it; none that decides the same, whatever is described."""
    found: list[Finding] = []
    made = list(changes)
    for number, change in enumerate(made, start=1):
        if not _noticed(change, claims):
            found += _told_apart(change, claims, seconds)
        if tell:
            tell(number, len(made))
    return tuple(found)


def _noticed(mutant: Mutant, claims: Claims) -> bool:
    pack = with_other_digest(mutant.pack)
    return any(one.notices(pack) for one in _to_try(mutant, claims))


def _to_try(mutant: Mutant, claims: Claims) -> Iterator[Judged | WorkedRow]:
    """On what a mistake can show: claims by the rows that its rules touch, or else all, those that expect what it is about first.

    A number of a printed table or a named value shows in calculations first.
    """
    if mutant.touches:
        return chain(claims.touched(mutant.pack, mutant.touches), claims.calculated)
    kind, name = mutant.part
    near = [one for one in claims.judged if any(expected.wanted == name for expected in one.claim.expectations)]
    rest = (one for one in claims.judged if one not in near)
    return chain(claims.calculated if kind in _IN_CALCULATIONS else (), near, rest)


def _told_apart(mutant: Mutant, claims: Claims, seconds: float) -> tuple[Finding, ...]:
    """The mistake as a finding; nothing where it changes nothing, whatever is described."""
    survived = Finding(CHECK, "error", mutant.place, f"no worked case notices that {mutant.what}")
    if mutant.part[0] == "joined":
        return () if alike(claims.pack, mutant.pack) else (survived,)
    kinds = dict.fromkeys(rule.of for rule in mutant.touches)
    found = tuple(finding for of in kinds for finding in same(survived, claims.pack, mutant.pack, of, seconds))
    return found[:1] if mutant.touches else (survived,)

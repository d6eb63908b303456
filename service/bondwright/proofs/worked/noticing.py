"""Whether the worked cases of a pack notice its mistakes: what none of them notices is told with its place, and needs a case."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from itertools import chain
from typing import TypeAlias

from msgspec import Struct

from bondwright.cases.keys import CLAUSES, LIMIT_CLAUSES, LINK_CLAUSES
from bondwright.errors import UnreadableRules
from bondwright.members import replace
from bondwright.proofs.findings import NEEDED, Finding
from bondwright.proofs.joined import alike
from bondwright.proofs.mutations import Mutant, Part
from bondwright.proofs.solver.asking import SECONDS
from bondwright.proofs.solver.difference import same
from bondwright.proofs.worked.calculations import WorkedRow
from bondwright.proofs.worked.claims import Claims, Judged, with_other_digest
from bondwright.proofs.worked.kept import NOTICED, REFUSED, SAME, SURVIVES, Fate, KeptFates
from bondwright.proofs.worked.mistakes import clauses_in, mistakes
from bondwright.proofs.worked.slips import Slip
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import RulePack

Tell: TypeAlias = Callable[[int, int], None]
"""Is told how many mistakes were made, of how many."""
Read: TypeAlias = Callable[[Slip], RulePack]
"""Reads a text with a mistake. Raises: UnreadableRules, where the mistake is refused on reading."""
Asks: TypeAlias = Callable[[Mutant], bool]
"""Whether publishing would ask for a reason for that mistake, since the pack before has it otherwise."""

CHECK = "worked cases"
_IN_CALCULATIONS = frozenset({"reference", "value"})
_ASKED = "asked for a reason"


class Score(Struct, frozen=True):
    """What became of mistakes: how many were made, and how many of them something noticed; what is left survived.

    `noticed`: by a claim or calculation; `same`: as the pack in every input; `refused`: on reading; `asked`: a reason is asked for at
    publishing, the mistake being in a unit, a date or a clause that the pack before has otherwise; `exempt`: survived, as no
    description could show it.
    """

    made: int
    noticed: int
    same: int
    survivors: tuple[Finding, ...]
    refused: int = 0
    asked: int = 0
    exempt: int = 0

    def counted(self) -> str:
        """The score in words."""
        by_case = f"{self.noticed} of {self.made} mistakes noticed by a worked case"
        others = f"{self.refused} refused on reading, {self.asked} not published without a reason, {self.same} change nothing"
        return f"{by_case}, {others}, {len(self.survivors)} survive, {self.exempt} exempt"


class Also(Struct, frozen=True):
    """What else is known where mistakes are made.

    `slips`: mistakes in the text, which `read` reads; `kept`: what became of mistakes before; `asks`: what publishing asks a reason for.
    """

    slips: Iterable[Slip] = ()
    read: Read | None = None
    kept: KeptFates | None = None
    asks: Asks | None = None


def scored(
    claims: Claims, among: frozenset[Part] | None = None, tell: Tell | None = None, seconds: float = SECONDS, also: Also | None = None
) -> Score:
    """The score of a pack whose claims all hold. `among`: the parts in which mistakes are made, if not all."""
    also = also or Also()
    kept = also.kept or KeptFates(None, claims.rests_on)
    every: Iterator[Mutant | Slip] = chain(mistakes(claims.pack), also.slips)
    made = [one for one in every if among is None or one.part in among]
    fates, named, found = Counter[Fate](), Counter[str](), list[Finding]()
    try:
        for number, one in enumerate(made, start=1):
            named[one.what] += 1
            fate, survivors = _fate(one, f"{one.what} ({named[one.what]})", claims, seconds, also.read, kept)
            if fate == SURVIVES and also.asks and _may_ask(one) and also.asks(_mutant(one, claims, also.read)):
                fate, survivors = _ASKED, ()
            fates[fate] += 1
            found += survivors
            if tell:
                tell(number, len(made))
    finally:
        kept.write()
    return Score(len(made), fates[NOTICED], fates[SAME], tuple(found), fates[REFUSED], fates[_ASKED])


def _fate(
    made: Mutant | Slip, name: str, claims: Claims, seconds: float, read: Read | None, kept: KeptFates
) -> tuple[Fate, tuple[Finding, ...]]:
    """What became of a mistake: as it is kept, or worked out now and kept."""
    if known := kept.of(name):
        fate, told = known
        return fate, tuple(Finding(CHECK, "error", made.place, words) for words in told)
    try:
        mutant = _mutant(made, claims, read)
    except UnreadableRules:
        kept.keep(name, REFUSED, ())
        return REFUSED, ()
    if _noticed(mutant, claims):
        fate, survivors = NOTICED, tuple[Finding, ...]()
    else:
        survivors = _told_apart(mutant, claims, seconds)
        fate = SURVIVES if survivors else SAME
    kept.keep(name, fate, survivors)
    return fate, survivors


def _may_ask(made: Mutant | Slip) -> bool:
    return made.asks if isinstance(made, Slip) else bool(made.clause)


def _mutant(made: Mutant | Slip, claims: Claims, read: Read | None) -> Mutant:
    """The mistake as a pack. Raises: UnreadableRules, where its text is refused."""
    if isinstance(made, Mutant):
        return made
    assert read, "somebody reads the texts"
    kind, name = made.part
    touches = (claims.pack.rule(name),) if kind == "rule" else ()
    return Mutant(read(made), made.what, made.place, touches, made.part)


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
    memory = Kept()
    return any(one.notices(pack, memory) if isinstance(one, Judged) else one.notices(pack) for one in _to_try(mutant, claims))


def _to_try(mutant: Mutant, claims: Claims) -> Iterator[Judged | WorkedRow]:
    """On what a mistake can show: claims by the rows that its rules touch, or else all, those that expect what it is about first.

    A number of a printed table or a named value shows in calculations first, a clause where it is expected, a date in no answer.
    """
    kind, name = mutant.part
    if kind == "date":
        return iter(())
    if mutant.clause:
        return chain(claims.expecting(frozenset(clauses_in(mutant.clause))), claims.calculated)
    if mutant.touches:
        return chain(claims.touched(mutant.pack, mutant.touches), claims.calculated)
    near = [one for one in claims.judged if any(expected.wanted == name for expected in one.claim.expectations)]
    rest = (one for one in claims.judged if one not in near)
    return chain(claims.calculated if kind in _IN_CALCULATIONS else (), near, rest)


def _expected(mutant: Mutant, pack: RulePack) -> str:
    """What a case expects under which the clause of a rule is told."""
    duties = [duty for place in pack.places.kinds.values() for duty in place.duties]
    decided = {rule.outcome for rule in mutant.touches}
    if decided & {duty.limit for duty in duties}:
        return LIMIT_CLAUSES
    return LINK_CLAUSES if decided & {link.size for duty in duties for link in duty.links} else CLAUSES


def _told_apart(mutant: Mutant, claims: Claims, seconds: float) -> tuple[Finding, ...]:
    """The mistake as a finding; nothing where it changes nothing, whatever is described."""
    survived = Finding(CHECK, "error", mutant.place, f"no worked case notices that {mutant.what}")
    if mutant.clause:
        needed = ", ".join(f'"{one}"' for one in clauses_in(mutant.clause))
        return (
            replace(
                survived, detail=f"{survived.detail}; {NEEDED} expects `{_expected(mutant, claims.pack)}: [{needed}]` where the rule speaks"
            ),
        )
    if mutant.part[0] == "joined":
        return () if alike(claims.pack, mutant.pack) else (survived,)
    kinds = dict.fromkeys(rule.of for rule in mutant.touches)
    found = tuple(finding for of in kinds for finding in same(survived, claims.pack, mutant.pack, of, seconds))
    return found[:1] if mutant.touches else (survived,)

"""`bondwright rules mistakes`: small mistakes made in a pack one by one, and those that none of its worked cases would notice."""

import re
from argparse import Namespace
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

from bondwright.cases.case import Claim
from bondwright.cli.rules.choosing import WrongCall, folder_of, pack_or_draft
from bondwright.cli.rules.printing import print_json
from bondwright.cli.rules.publishing.checking import NO_SOLVER
from bondwright.cli.rules.publishing.progress import Progress
from bondwright.cli.rules.worked.cases import Trial, described, tried
from bondwright.cli.statuses import DONE, WANTING
from bondwright.errors import UnreadableRules
from bondwright.installation.description import Installation
from bondwright.proofs.worked.calculations import WorkedRow
from bondwright.rulebook.facts import Place
from bondwright.rulebook.named import NamedValue
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import edited_place, load_pack, on_shelf

if TYPE_CHECKING:
    from bondwright.proofs.mutations import Mutant

_SHARE = 0.1
"""By how much a named value is moved, as a share of it."""
_VALUE = re.compile(r"value: ([0-9.]+) ")


def mistakes(asked: Namespace) -> int:
    """Each survivor with its place, and how many there are; a pack that does not bear out its worked cases has no score."""
    # Imported here: the solver comes with the extra `rules`, and a service that only answers does without it.
    try:
        from bondwright.proofs.worked.claims import Claims
        from bondwright.proofs.worked.noticing import scored
    except ImportError:
        raise WrongCall(NO_SOLVER) from None
    folder = folder_of(asked)
    pack = pack_or_draft(folder, asked.pack)
    progress = Progress(())
    parts = _parts(pack, asked.of)
    judged, calculated = _judged(folder, pack)
    claims = Claims(pack, judged, calculated)
    score = scored(claims, parts, lambda done, of: progress("mistakes", done, of), further=values_mistaken(pack, parts))
    found = [(_at(folder, asked.pack, one.place), one.detail) for one in score.survivors]
    if asked.format == "json":
        survivors = [{"place": place, "detail": detail} for place, detail in found]
        print_json({"made": score.made, "noticed": score.noticed, "without_effect": score.same, "survivors": survivors})
    else:
        for place, detail in found:
            print(f"WANTING {place}: {detail}")
        print(f"{pack.pack_id}: {score.counted()}")
    return WANTING if found else DONE


def values_mistaken(pack: RulePack, among: frozenset[tuple[str, str]] | None) -> Iterator["Mutant"]:
    """The pack read anew with each named value, or those among the parts, a tenth less and a tenth more."""
    from bondwright.proofs.mutations import Mutant

    for name, held in pack.values.items():
        for share in (1 - _SHARE, 1 + _SHARE) if among is None or ("value", name) in among else ():
            text, told = _moved(pack, held, share)
            yield Mutant(load_pack(text, held.place.file), f"value `{name}` is {told}", held.place, (), ("value", name))


def _moved(pack: RulePack, held: NamedValue, share: float) -> tuple[bytes, str]:
    """The text of the pack with another number for a named value, and both numbers in words."""
    lines = pack.text.decode().split("\n")
    at = held.place.line - 1
    before, written, after = _VALUE.split(lines[at], maxsplit=1)
    moved = f"{Decimal(written) * Decimal(str(share)):f}"
    return "\n".join((*lines[:at], f"{before}value: {moved} {after}", *lines[at + 1 :])).encode(), f"{moved} for {written}"


def unseen(old: RulePack, new: RulePack, trial: Trial, tell: Callable[[int, int], None]) -> list[tuple[Place | None, str]]:
    """Each change from one pack to the next that no claim of the family notices, and where it stands. Raises: WrongCall, without a solver.

    A claim tells whatever the day of its work, if the new pack bears it out: editions share most of their rules.
    """
    try:
        from bondwright.proofs.worked.claims import Claims
        from bondwright.proofs.worked.noticing import unseen as unseen_among
        from bondwright.proofs.worked.reverting import reverted
    except ImportError:
        raise WrongCall(NO_SOLVER) from None
    changes = list(reverted(old, new))
    if not changes:
        return []
    written = [(name, claim, described(case, claim)) for case in trial.cases for name, claim in case.claims]
    claims = Claims.borne_out(new, written, trial.calculated)
    return [(one.place, one.detail) for one in unseen_among(claims, changes, tell)]


def told(trial: Trial) -> list[tuple[str, Claim, Installation]]:
    """The claims that were judged in a trial, each with its name and its installation."""
    return [(f"{case.file}{claim.described}", claim, described(case, claim)) for case, claim in trial.claims]


def _judged(folder: Path, pack: RulePack) -> tuple[list[tuple[str, Claim, Installation]], list[WorkedRow]]:
    """The claims that the pack judges, and the worked calculations. Raises: WrongCall, if it judges none, or fails one."""
    trial = tried(folder, pack, on_shelf(folder))
    if wanting := [finding for finding in trial.findings if finding.fault]:
        raise WrongCall(f"the worked cases do not hold, so that nothing can be told by them; {wanting[0].name}: {wanting[0].fault}")
    if not trial.claims:
        raise WrongCall("no worked case falls into the time of this pack")
    return told(trial), trial.calculated


def _parts(pack: RulePack, names: Sequence[str]) -> frozenset[tuple[str, str]] | None:
    """The parts of the pack of these names; nothing where none is named, which means all. Raises: WrongCall."""
    kinds = {
        "rule": [rule.rule_id for rule in pack.rules],
        "table": pack.tables,
        "value": pack.values,
        "joined": dict.fromkeys(one.act for one in pack.joints),
        "advice": pack.advice,
    }
    found = {(kind, name) for kind, there in kinds.items() for name in there if name in names}
    if strange := sorted(set(names) - {name for _, name in found}):
        raise WrongCall(f"{pack.pack_id} has no rule, table, value or act of the joined table called `{strange[0]}`")
    return frozenset(found) or None


def _at(folder: Path, name: str, place: Place | None) -> str:
    if place is None:
        return name
    with suppress(UnreadableRules):
        place = edited_place(folder, name, place) if place.file.startswith("draft of ") else place
    return f"{place.file}:{place.line}:{place.column}"

"""`bondwright rules mistakes`: small mistakes made in a pack one by one, and those that none of its worked cases would notice."""

from argparse import Namespace
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from bondwright.cases.case import Claim
from bondwright.cli.rules.choosing import WrongCall, folder_of, pack_or_draft
from bondwright.cli.rules.printing import print_json
from bondwright.cli.rules.publishing.checking import NO_SOLVER
from bondwright.cli.rules.publishing.progress import Progress
from bondwright.cli.rules.worked.cases import Trial, described, tried
from bondwright.cli.rules.worked.scoring import pack_before, placed, score_of
from bondwright.cli.statuses import DONE, WANTING
from bondwright.installation.description import Installation
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.published import on_shelf

if TYPE_CHECKING:
    from bondwright.proofs.worked.claims import Claims
    from bondwright.proofs.worked.noticing import Score


def mistakes(asked: Namespace) -> int:
    """Each survivor with its place, and how many there are; a pack that does not bear out its worked cases has no score."""
    folder = folder_of(asked)
    pack = pack_or_draft(folder, asked.pack)
    parts = _parts(pack, asked.of)
    progress = Progress(())
    score = scored(folder, asked.pack, pack, _judged(folder, pack), parts, partial(progress, "mistakes"))
    found = [(placed(folder, asked.pack, one.place) or asked.pack, one.detail) for one in score.survivors]
    if asked.format == "json":
        survivors = [{"place": place, "detail": detail} for place, detail in found]
        counts = {"refused": score.refused, "asked_for_a_reason": score.asked, "without_effect": score.same, "exempt": score.exempt}
        print_json({"made": score.made, "noticed": score.noticed, **counts, "survivors": survivors})
    else:
        for place, detail in found:
            print(f"WANTING {place}: {detail}")
        print(f"{pack.pack_id}: {score.counted()}")
    return WANTING if found else DONE


def scored(
    folder: Path, name: str, pack: RulePack, trial: Trial, parts: frozenset[tuple[str, str]] | None, tell: Callable[[int, int], None]
) -> "Score":
    """What became of the mistakes in a pack by the claims of a trial in which all hold. `name`: of a published pack, or of an edition."""
    try:
        from bondwright.proofs.worked.claims import Claims
    except ImportError:
        raise WrongCall(NO_SOLVER) from None
    return score_of(folder, Claims(pack, told(trial), trial.calculated), pack_before(folder, name, pack), parts, tell)


def survivors(folder: Path, old: RulePack | None, claims: "Claims", tell: Callable[[int, int], None]) -> list[tuple[Place | None, str]]:
    """Each mistake in what is new or changed since the pack before that no claim of the family notices; in all, where there is none.

    Raises: WrongCall, without a solver.
    """
    try:
        from bondwright.proofs.worked.content import changed_parts
    except ImportError:
        raise WrongCall(NO_SOLVER) from None
    parts = changed_parts(old, claims.pack) if old else None
    if parts is not None and not parts:
        return []
    score = score_of(folder, claims, old, parts, tell)
    return [(one.place, one.detail) for one in score.survivors]


def unseen(old: RulePack, claims: "Claims", tell: Callable[[int, int], None]) -> list[tuple[Place | None, str]]:
    """Each change from one pack to the next that no claim of the family notices, and where it stands. Raises: WrongCall, without a solver.

    `claims`: of all days, those that the new pack bears out: editions share most of their rules.
    """
    try:
        from bondwright.proofs.worked.noticing import unseen as unseen_among
        from bondwright.proofs.worked.reverting import reverted
    except ImportError:
        raise WrongCall(NO_SOLVER) from None
    changes = list(reverted(old, claims.pack))
    return [(one.place, one.detail) for one in unseen_among(claims, changes, tell)] if changes else []


def unshown(old: RulePack | None, claims: "Claims") -> list[tuple[Place | None, str]]:
    """What decides nothing, and what no claim of the family shows, of new places and facts of places, and where it stands.

    Raises: WrongCall, without a solver.
    """
    try:
        from bondwright.proofs.places import decisive
        from bondwright.proofs.worked.places import unshown_places
    except ImportError:
        raise WrongCall(NO_SOLVER) from None
    if not claims.pack.places.at:
        return []
    return [(one.place, one.detail) for one in (*decisive(claims.pack, old), *unshown_places(claims, old))]


def told(trial: Trial) -> list[tuple[str, Claim, Installation]]:
    """The claims that were judged in a trial, each with its name and its installation."""
    return [(f"{case.file}{claim.described}", claim, described(case, claim, trial.terms)) for case, claim in trial.claims]


def _judged(folder: Path, pack: RulePack) -> Trial:
    """The claims that the pack judges, and the worked calculations. Raises: WrongCall, if it judges none, or fails one."""
    trial = tried(folder, pack, on_shelf(folder))
    if wanting := [finding for finding in trial.findings if finding.fault]:
        raise WrongCall(f"the worked cases do not hold, so that nothing can be told by them; {wanting[0].name}: {wanting[0].fault}")
    if not trial.claims:
        raise WrongCall("no worked case falls into the time of this pack")
    return trial


def _parts(pack: RulePack, names: Sequence[str]) -> frozenset[tuple[str, str]] | None:
    """The parts of the pack of these names; nothing where none is named, which means all. Raises: WrongCall."""
    from bondwright.proofs.worked.content import parts_of

    if strange := sorted(set(names) - {name for _, name in parts_of(pack)}):
        raise WrongCall(f"{pack.pack_id} has no rule, table, value, fact, date or act of the joined table called `{strange[0]}`")
    return frozenset(part for part in parts_of(pack) if part[1] in names) or None

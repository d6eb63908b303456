"""What the commands about mistakes share: mistakes made in a pack, its own text included, and what became of them."""

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from bondwright.cli.rules.choosing import WrongCall, edition_of_pack, family
from bondwright.cli.rules.differences import changes
from bondwright.cli.rules.publishing.backing import needs_of_backing
from bondwright.cli.rules.publishing.checking import NO_SOLVER
from bondwright.cli.rules.publishing.following import followed
from bondwright.cli.rules.publishing.meaning import unjudged
from bondwright.cli.rules.worked.cases import Trial, described
from bondwright.cli.rules.worked.exempt import exemptions, without_exempt
from bondwright.errors import UnreadableRules
from bondwright.members import replace
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import RulePack
from bondwright.settings import read_settings
from bondwright.shelf.declared.declaration import declaration
from bondwright.shelf.declared.family import check_head
from bondwright.shelf.packs import edited_place, pack_of, rules_folder
from bondwright.shelf.published import on_shelf
from bondwright.shelf.words.filling import nodes_of

if TYPE_CHECKING:
    from bondwright.proofs.mutations import Mutant, Part
    from bondwright.proofs.worked.claims import Claims
    from bondwright.proofs.worked.noticing import Score
    from bondwright.proofs.worked.slips import Slip

_DRAFT = "draft of "


def whatever_day(pack: RulePack, trial: Trial) -> "Claims":
    """The claims of a family that a pack bears out, whatever the day of their work: editions share most of their rules."""
    from bondwright.proofs.worked.claims import Claims

    written = [(name, claim, described(case, claim, trial.terms)) for case in trial.cases for name, claim in case.claims]
    return Claims.borne_out(pack, written, trial.calculated)


def score_of(
    folder: Path, claims: "Claims", before: RulePack | None, among: "frozenset[Part] | None", tell: Callable[[int, int], None]
) -> "Score":
    """What became of the mistakes in the parts of a pack, or in all; kept in the data folder by the digest of pack and cases.

    `before`: the pack that it follows, beside which publishing asks for reasons. Raises: WrongCall, without a solver.
    """
    # Imported here: the solver comes with the extra `rules`, and a service that only answers does without it.
    try:
        from bondwright.proofs.worked.kept import KeptFates
        from bondwright.proofs.worked.noticing import Also, scored
        from bondwright.proofs.worked.slips import slips
    except ImportError:
        raise WrongCall(NO_SOLVER) from None
    pack = claims.pack
    made = [one for one in slips(pack) if one.part[0] != "date" or _is_edition_of(before, pack)]
    kept = KeptFates(read_settings().data_folder / "proofs", claims.rests_on)
    also = Also(made, lambda slip: _read(folder, pack, slip), kept, lambda mutant: before is not None and asks_reason(before, mutant))
    score, exempt = scored(claims, among, tell, also=also), exemptions(folder, pack)
    left, stale = without_exempt(score.survivors, exempt)
    left += [one.no_longer for one in stale if among is None]
    return replace(score, survivors=tuple(left), exempt=len(exempt) - len(stale))


def pack_before(folder: Path, name: str, pack: RulePack) -> RulePack | None:
    """The pack beside which a change of this one would be judged: itself once it is published, else the one that it follows."""
    if "/" not in name:
        return pack
    shelf = on_shelf(folder)
    own = next((one.whole() for one in shelf if one.pack_id == pack.pack_id), None)
    return own or followed(folder, name, pack, shelf)


def asks_reason(before: RulePack, mutant: "Mutant") -> bool:
    """Whether publishing asks for a reason for what a mistake changes in a part that the pack before has."""
    kind, name = mutant.part
    if mutant.clause:
        return any(need.name == f"clause of {kind} {name}" for need in needs_of_backing(before, mutant.pack))
    told = {"date": f"pack header {name}", "reference": f"reference table {name}"}.get(kind, f"{kind} {name}")
    return told in unjudged(before, mutant.pack, changes(before, mutant.pack))


def placed(folder: Path, edition: str, place: Place | None) -> str:
    """Where something in a pack is edited, as `file:line:column`; empty where it has no place."""
    if place is None:
        return ""
    with suppress(UnreadableRules):
        place = edited_place(folder, edition, place) if place.file.startswith(_DRAFT) else place
    return f"{place.file}:{place.line}:{place.column}"


def _read(folder: Path, pack: RulePack, slip: "Slip") -> RulePack:
    """The pack that a text with a mistake makes, refused where its edition would be. Raises: UnreadableRules."""
    root = nodes_of(slip.text, slip.place.file, declaration(rules_folder()))
    edition = f"{family(pack)}/{edition_of_pack(pack).removeprefix(family(pack) + '-')}"
    if slip.part[0] == "date" and (folder / f"{edition}.yaml").is_file():
        check_head(folder, edition, root.entries["pack"])
    return pack_of(root, slip.text, draft=slip.place.file.startswith(_DRAFT))


def _is_edition_of(before: RulePack | None, pack: RulePack) -> bool:
    """Whether both are revisions of one edition, so that another date than before is seen; the dates of a new edition are new."""
    return before is not None and edition_of_pack(before) == edition_of_pack(pack)

"""`bondwright rules check` of named packs and editions, or of every pack that stands: proofs, worked cases, and with `--full` mistakes."""

from argparse import Namespace
from collections.abc import Iterator, Sequence
from functools import partial
from pathlib import Path

from bondwright.cli.rules.choosing import WrongCall, did_you_mean, folder_of, pack_or_draft, those_that_stand
from bondwright.cli.rules.printing import Finding, print_findings
from bondwright.cli.rules.publishing.checking import check as check_all
from bondwright.cli.rules.publishing.checking import faults_of
from bondwright.cli.rules.publishing.progress import Progress
from bondwright.cli.rules.worked.cases import Trial, tried
from bondwright.cli.rules.worked.mistakes import scored
from bondwright.cli.rules.worked.scoring import placed
from bondwright.cli.statuses import DONE, WANTING
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.published import on_shelf


def check(asked: Namespace) -> int:
    """Whether the packs and editions that are named can be relied on, or those that stand; without either, all, their cases aside."""
    if not asked.pack and not asked.published:
        return check_all(asked)
    folder, aloud = folder_of(asked), asked.format == "text"
    if asked.published:
        findings = [finding for pack in _standing(folder, asked.pack) for finding in _whole(folder, pack, asked.full, aloud)]
    else:
        findings = [finding for name in asked.pack for finding in _named(folder, name, asked.full, aloud)]
    print_findings("rules", findings, asked.format)
    return WANTING if any(finding.fault for finding in findings) else DONE


def _standing(folder: Path, names: Sequence[str]) -> list[RulePack]:
    """The published packs that stand, or those of these names. Raises: WrongCall, for a name of none."""
    packs = {pack.pack_id: pack for pack in those_that_stand(folder, on_shelf(folder))}
    for name in names:
        if name not in packs:
            raise WrongCall(f"no pack `{name}` is published and not withdrawn{did_you_mean(name, packs)}")
    return [pack.whole() for pack_id, pack in packs.items() if not names or pack_id in names]


def _whole(folder: Path, pack: RulePack, full: bool, aloud: bool) -> list[Finding]:
    """What is wanting of the proofs and worked cases of a published pack, or one finding that nothing is; a line is printed."""
    found, _ = _proved_and_tried(folder, pack, pack.pack_id, full, aloud)
    return found or [Finding(pack.pack_id, "")]


def _named(folder: Path, name: str, full: bool, aloud: bool) -> Iterator[Finding]:
    """The same of a pack or edition by its name, and, where `full`, each mistake that no worked case notices."""
    pack = pack_or_draft(folder, name)
    found, trial = _proved_and_tried(folder, pack, name, full, aloud)
    if full and not found and trial.claims:
        score = scored(folder, name, pack, trial, None, partial(Progress(()), "mistakes"))
        found = [Finding(name, f"{placed(folder, name, one.place) or name}: {one.detail}") for one in score.survivors]
        if aloud:
            print(f"  {score.counted()}")
    yield from found or [Finding(name, "")]


def _proved_and_tried(folder: Path, pack: RulePack, name: str, full: bool, aloud: bool) -> tuple[list[Finding], Trial]:
    wrong = [finding for finding in faults_of(pack, name, full=full) if finding.fault]
    trial = tried(folder, pack, on_shelf(folder))
    fallen = [finding for finding in trial.findings if finding.fault]
    if aloud:
        proofs = f"{len(wrong)} checks fall" if wrong else "every proof holds" if full else "every check holds"
        print(f"{name}: {proofs}; {len(trial.claims)} claims of worked cases judged, {len(fallen)} wanting; {trial.counted()}", flush=True)
    return [*wrong, *fallen], trial

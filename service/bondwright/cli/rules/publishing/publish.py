"""`bondwright rules publish`: writes the pack that the files of an edition make, if nothing at all is found wanting."""

import hashlib
import sys
from argparse import Namespace
from collections.abc import Iterator
from functools import partial
from pathlib import Path

from msgspec import Struct

from bondwright.cases.kept import Kept, changes, kept
from bondwright.cli.rules.choosing import family, folder_of, today
from bondwright.cli.rules.printing import Finding
from bondwright.cli.rules.publishing.backing import needs_of_backing
from bondwright.cli.rules.publishing.becauses import Need, misplaced, needs, needs_of_cases, unanswered
from bondwright.cli.rules.publishing.checking import counted, faults_of
from bondwright.cli.rules.publishing.following import demand_terms_fit, followed, kept_with, with_cases
from bondwright.cli.rules.publishing.meaning import Meaning, meaning
from bondwright.cli.rules.publishing.progress import Progress, Stopped
from bondwright.cli.rules.publishing.writing import files_of, lock_of, write_together
from bondwright.cli.rules.worked.cases import Trial, read_cases, tried
from bondwright.cli.rules.worked.mistakes import survivors, unseen, unshown
from bondwright.cli.rules.worked.scoring import placed, whatever_day
from bondwright.cli.signals import hearing
from bondwright.cli.statuses import DONE, STOPPED, WANTING
from bondwright.errors import BondwrightError
from bondwright.proofs.findings import NEEDED
from bondwright.rulebook.because import KeptCases, draft_text
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import LOCK, draft_pack, edited_place, issued_text, load_pack
from bondwright.shelf.published import on_shelf, published_packs


class _Plan(Struct, frozen=True):
    """A pack about to be published: what it follows, what is different, how its cases came out, what needs a reason."""

    folder: Path
    edition: str
    pack: RulePack
    old: RulePack | None
    trial: Trial
    kept: Kept | None
    meaning: Meaning | None
    needs: tuple[Need, ...]

    @property
    def since(self) -> str:
        """The id of the pack that it follows; empty where it follows none."""
        return self.old.pack_id if self.old else ""


def publish(asked: Namespace) -> int:
    """Writes the pack with its line in the lock.

    Nothing is written if a check, a proof or a case falls, if a reason is missing, or when interrupted.
    """
    with hearing() as heard:
        try:
            return _publish(folder_of(asked), asked.edition, Progress(heard), dry=asked.dry_run, caseless=asked.without_cases)
        except Stopped:
            print("stopped; nothing was published", file=sys.stderr)
            return STOPPED + heard[0]


def _publish(folder: Path, edition: str, progress: Progress, *, dry: bool, caseless: bool) -> int:
    pack = draft_pack(folder, edition)
    shelf = on_shelf(folder, unfinished=pack.pack_id)
    already = next((one for one in shelf if one.pack_id == pack.pack_id), None)
    if already:
        return _already(folder, pack, already.whole())
    demand_terms_fit(folder, edition, pack, shelf)
    old = followed(folder, edition, pack, shelf)
    trial = tried(folder, pack, shelf, lambda done, of: progress("worked cases", done, of))
    kept_then = kept_with(folder, old) if old else None
    progress("difference in meaning", 1, 1)
    means = meaning(old, pack) if old else None
    changed = changes(kept_then, trial.cases) if kept_then is not None else ()
    needed = (*needs(means, changed), *needs_of_backing(old, pack)) if means and old else ()
    plan = _Plan(folder, edition, pack, old, trial, kept_then, means, needed)
    print("\n".join(_told(plan)))
    faults = [*_wanting(plan, caseless), *_proved(pack, edition, progress)]
    faults += list(_unnoticed(plan, progress)) if not faults else []
    if faults:
        print("\n".join(f"WANTING {fault.name}: {fault.fault}" for fault in faults))
        _print_reasons(plan)
        print("nothing was published")
        return WANTING
    progress.go_on()
    return _write(plan, dry)


def _already(folder: Path, pack: RulePack, published: RulePack) -> int:
    """The end for a pack whose id is published: nothing to do, if rules and cases are those that it was published with."""
    if draft_text(published.text) != draft_text(issued_text(pack)):
        raise BondwrightError(f"pack `{pack.pack_id}` is published with other content; raise the revision in its `id`")
    then = kept_with(folder, published)
    fallen = needs_of_cases(changes(then, read_cases(folder, family(pack)))) if then is not None else []
    if fallen:
        print("\n".join(f"WANTING {need.words}" for need in fallen))
        raise BondwrightError(f"pack `{pack.pack_id}` is published with other worked cases; raise the revision in its `id`")
    print(f"nothing to do: {counted(published)} is published")
    return DONE


def _told(plan: _Plan) -> Iterator[str]:
    """What is different, by direction, and how the worked cases came out."""
    if plan.old and plan.meaning:
        yield f"{plan.pack.pack_id} follows {plan.since}: {len(plan.meaning.changes)} differences"
        yield from plan.meaning.lines()
    else:
        yield f"{plan.pack.pack_id} follows no published pack: there is nothing to compare it with"
    wanting = sum(1 for finding in plan.trial.findings if finding.fault)
    yield f"worked cases: {len(plan.trial.findings)} judged, {wanting} wanting; {plan.trial.counted()}"
    if plan.old and plan.kept is None:
        yield f"  {plan.since} keeps nothing of its cases; those of today are kept, and compared from the next revision on"
    for need in plan.needs:
        given = next((one for one in plan.pack.lenient if (one.about, one.name) == (need.about, need.name)), None)
        if given:
            yield f"because of {given.about} {given.name}: {given.says} ({given.clause}; {given.source}, {given.confidence})"


def _wanting(plan: _Plan, caseless: bool) -> Iterator[Finding]:
    yield from (finding for finding in plan.trial.findings if finding.fault)
    if not plan.trial.claims and not caseless:
        way_out = "write one, or publish with --without-cases while there is none"
        yield Finding(plan.edition, f"no worked case falls into the time of this edition, so nothing holds what it answers; {way_out}")
    if plan.trial.claims and caseless:
        yield Finding(plan.edition, f"{len(plan.trial.claims)} worked cases fall into the time of this edition; leave out --without-cases")
    for need in unanswered(plan.needs, plan.pack.lenient, plan.since):
        yield Finding(plan.edition, f"{need.words}; no reason is given for it under `lenient`")
    for because, wrong in misplaced(plan.needs, plan.pack.lenient, plan.since):
        place = edited_place(plan.folder, plan.edition, because.place)
        yield Finding(plan.edition, f"{place.file}:{place.line}:{place.column}: {wrong}")


def _proved(pack: RulePack, edition: str, progress: Progress) -> list[Finding]:
    found = faults_of(pack, edition, full=True, tell=lambda check, number, of: progress("proofs", number, of, check))
    return [finding for finding in found if finding.fault]


def _unnoticed(plan: _Plan, progress: Progress) -> Iterator[Finding]:
    """Each change from the pack that this one follows, and each mistake in what changed, that no worked case notices.

    Nothing where no case falls into its time.
    """
    if not plan.trial.claims:
        return
    claims = whatever_day(plan.pack, plan.trial)
    found = unshown(plan.old, claims)
    if plan.old:
        found += unseen(plan.old, claims, partial(progress, "changes that a case must notice"))
    found += survivors(plan.folder, plan.old, claims, partial(progress, "mistakes that a case must notice"))
    for place, words in found:
        at = placed(plan.folder, plan.edition, place)
        needed = "" if NEEDED in words else "; write a case that does"
        yield Finding(plan.edition, f"{at}{': ' if at else ''}{words}{needed}")


def _print_reasons(plan: _Plan) -> None:
    """The reasons that are missing, as they may be written."""
    missing = unanswered(plan.needs, plan.pack.lenient, plan.since)
    if missing:
        print(f"in {plan.edition}.yaml, filled in from the source, with `lenient:` at the left margin and written once:")
        print("\n".join(["lenient:", *(line for need in missing for line in need.entry(plan.since))]))


def _write(plan: _Plan, dry: bool) -> int:
    kept_now = kept(plan.trial.claims)
    held = KeptCases(
        len(plan.trial.claims), sum(len(claim.expectations) for _, claim in plan.trial.claims), hashlib.sha256(kept_now).hexdigest()
    )
    name = f"published/{plan.pack.pack_id}.yaml"
    pack = load_pack(with_cases(issued_text(plan.pack), held), name)
    if dry:
        print(f"nothing is wanting; without --dry-run this publishes {counted(pack)}")
        return DONE
    lock = lock_of(plan.folder) + f"{pack.pack_id} {pack.digest} {today()}\n".encode()
    write_together(files_of(plan.folder, pack, kept_now) | {plan.folder / LOCK: lock})
    published_packs(plan.folder)
    print(f"published {counted(pack)}")
    return DONE

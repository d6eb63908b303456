"""`bondwright rules check` and `consolidate`: whether published packs are whole and drafts could be published."""

from argparse import Namespace
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import closing
from pathlib import Path
from typing import TypeAlias

from bondwright.cli.rules.choosing import WrongCall, editions, folder_of, today
from bondwright.cli.rules.printing import Finding, print_findings
from bondwright.cli.rules.publishing.following import kept_with
from bondwright.cli.rules.written import written
from bondwright.cli.statuses import DONE, WANTING
from bondwright.engine.channels import TwoChannels
from bondwright.errors import BondwrightError, UnreadableRules
from bondwright.rulebook.because import draft_text
from bondwright.rulebook.facts import Place
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.withdrawal import Withdrawal
from bondwright.settings import read_settings
from bondwright.shelf.packs import consolidate, draft_pack
from bondwright.shelf.published import published_packs
from bondwright.shelf.withdrawn import FILE as WITHDRAWN
from bondwright.shelf.withdrawn import withdrawn_packs

Tell: TypeAlias = Callable[[str, int, int], None]
"""Is told the name of a proof, its number and how many there are."""

NO_SOLVER = "the proofs need a solver that is not installed; install Bondwright with its extra `rules`"

FILL_IN = "FILL-IN"
"""Stands in a new amendment where a person has to write something."""


def check(asked: Namespace) -> int:
    """Whether every published pack is whole and runs, every draft edition could be published, and the proofs hold of each."""
    findings = list(_checked(folder_of(asked), asked.full, asked.format == "text"))
    print_findings("rules", findings, asked.format)
    return WANTING if any(finding.fault for finding in findings) else DONE


def _checked(folder: Path, full: bool, aloud: bool) -> Iterator[Finding]:
    packs: dict[str, RulePack] = {}
    try:
        packs = {pack.pack_id: pack for pack in published_packs(folder)}
        if not packs:
            yield Finding("published", "no rule pack is published; publish one")
        yield from _still_to_come(withdrawn_packs(folder, tuple(packs.values())))
    except UnreadableRules as error:
        yield Finding(error.file, str(error))
    for edition in editions(folder):
        try:
            packs[edition] = draft_pack(folder, edition)
        except UnreadableRules as error:
            yield Finding(edition, str(error))
    seen: set[bytes] = set()
    yield from _kept_cases(folder, packs.values())
    for name, pack in packs.items():
        if (text := draft_text(pack.text)) not in seen:
            seen.add(text)
            yield from faults_of(pack, name, full=full, aloud=aloud)


def _still_to_come(withdrawn: Mapping[str, Withdrawal]) -> Iterator[Finding]:
    for withdrawal in withdrawn.values():
        if withdrawal.since > today():
            said = f"pack `{withdrawal.pack_id}`: `since` {withdrawal.since} is still to come, but it counts as withdrawn at once"
            yield Finding(WITHDRAWN, said)


def _kept_cases(folder: Path, packs: Iterable[RulePack]) -> Iterator[Finding]:
    """What is wrong with the files in which worked cases are kept."""
    for pack in packs:
        try:
            kept_with(folder, pack)
        except UnreadableRules as error:
            yield Finding(error.file, str(error))


def faults_of(pack: RulePack, name: str, *, full: bool, aloud: bool = False, tell: Tell | None = None) -> list[Finding]:
    """What is wrong with a pack that could be read, a finding each, or one that says that nothing is.

    `aloud`: print what the pack holds and, of the full set, what was counted. `tell`: told before each proof which of how many it is.
    """
    # Imported here: the solver comes with the extra `rules`, and a service that only answers does without it.
    try:
        from bondwright.proofs.check import check as proved
        from bondwright.proofs.examples import gathered
    except ImportError:
        raise WrongCall(NO_SOLVER) from None
    try:
        with closing(TwoChannels(pack, Kept())) as channels:
            channels.build()
    except BondwrightError as error:
        return [Finding(name, str(error))]
    if aloud:
        print(counted(pack))
    wrong = []
    for one in gathered(proved(pack, full, read_settings().data_folder / "proofs", tell)):
        words = f"{_edited(pack, one.place)}{one.check.replace('_', ' ')}: {one.detail}"
        if one.severity == "error":
            wrong.append(Finding(name, words))
        elif aloud and full:
            print(f"  {one.severity}: {one.detail}")
    return wrong or [Finding(name, _unfilled(pack))]


def _unfilled(pack: RulePack) -> str:
    return "the title or the standard still says FILL-IN" if FILL_IN in pack.title + pack.standard else ""


def _edited(pack: RulePack, place: Place | None) -> str:
    """Where to edit what a proof points at: within a rule its file and line, else the line of the consolidated text."""
    if place is None:
        return ""
    for rule in pack.rules:
        below = place.line - rule.place.line
        if 0 <= below < len(written(pack, rule.place)):
            return f"{rule.origin.file}:{rule.origin.line + max(below - 1, 0)}:{place.column}: "  # less the line `from:`
    return f"{place.file}:{place.line}:{place.column}: "


def print_consolidated(asked: Namespace) -> int:
    """The text that publishing an edition would give."""
    print(consolidate(folder_of(asked), asked.edition).decode(), end="")
    return DONE


def counted(pack: RulePack) -> str:
    """What a pack holds, in one line."""
    counts = f"{len(pack.rules)} rules, {len(pack.facts)} facts, {len(pack.outcomes)} outcomes, {len(pack.tables)} tables"
    return f"{pack.pack_id}: {counts}, digest {pack.digest}"

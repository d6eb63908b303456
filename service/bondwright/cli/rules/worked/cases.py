"""`bondwright rules cases`: the worked cases, each judged by the newest pack in whose time its work falls, every expectation compared."""

from argparse import Namespace
from collections.abc import Callable, Sequence
from contextlib import ExitStack, closing
from pathlib import Path

import orjson
from msgspec import Struct, field

from bondwright.cases.case import Case, Claim
from bondwright.cases.comparing import Compared, judged, judges
from bondwright.cases.kept import Kept as KeptOfCases
from bondwright.cases.kept import as_kept
from bondwright.cases.reading import read_case
from bondwright.cli.rules.choosing import (
    WrongCall,
    edition_of_pack,
    family,
    folder_of,
    pack_or_draft,
    revision,
    shelved,
    superseded,
    those_that_stand,
)
from bondwright.cli.rules.printing import Finding, print_findings
from bondwright.cli.rules.publishing.following import kept_with
from bondwright.cli.statuses import DONE, WANTING
from bondwright.engine.channels import TwoChannels
from bondwright.errors import BondwrightError, EngineDisagreement, Refused, UnreadableRules
from bondwright.installation.description import Installation
from bondwright.installation.reading import read_installation
from bondwright.installation.terms import NO_TERMS, Terms
from bondwright.proofs.worked.calculations import FOLDER, WorkedRow, read_rows
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import PackHead, RulePack
from bondwright.shelf.declared.terms import terms_of
from bondwright.shelf.lines import file_bytes
from bondwright.shelf.published import in_order, on_shelf


class Trial(Struct):
    """What became of the worked cases of some families.

    `findings`: one for each claim that was judged or cannot be, a near miss being a claim too, and one for each file that is no
    case. `written`, `compared`: how many expectations stand in the files, and how many were compared. `claims`, `calculated`: what was
    judged. `terms`: what descriptions may say.
    """

    terms: Terms = NO_TERMS
    cases: list[Case] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    claims: list[tuple[Case, Claim]] = field(default_factory=list)
    calculated: list[WorkedRow] = field(default_factory=list)
    written: int = 0
    compared: int = 0

    def counted(self) -> str:
        """What was compared, in words."""
        return f"{self.compared} of {self.written} expectations compared"


def cases(asked: Namespace) -> int:
    """The worked cases of every family, or those within the time of one pack or draft."""
    folder = folder_of(asked)
    pack = pack_or_draft(folder, asked.pack) if asked.pack else None
    trial = tried(folder, pack, on_shelf(folder), word=asked.of) if pack else every_case(folder, asked.of)
    if not trial.findings:
        word = f" with the word `{asked.of}`" if asked.of else ""
        raise WrongCall(f"no worked case{word} {'falls into that time' if pack else 'is there'}")
    print_findings("cases", trial.findings, asked.format, {"expectations": trial.written, "compared": trial.compared}, trial.counted())
    return WANTING if any(finding.fault for finding in trial.findings) else DONE


def every_case(folder: Path, word: str = "") -> Trial:
    """The cases of every family, each judged by the newest published pack of its day that stands; one that none judges is wanting.

    `word`: only those files in whose name or text it stands, and no worked calculation.
    """
    return _tried(folder, those_that_stand(folder, shelved(folder)), None, word=word)


def tried(folder: Path, pack: RulePack, shelf: Sequence[PackHead], tell: Callable[[int, int], None] | None = None, word: str = "") -> Trial:
    """The cases of the family of `pack` that it judges, were it published: it is the newest edition in use on the day of their work.

    A pack that a later revision follows is held to what was kept of its cases when it was published.

    `shelf`: the published packs. `tell`: told after each case how many are done, of how many. `word`: as of every case.
    """
    others = [
        one for one in those_that_stand(folder, shelf) if family(one) == family(pack) and edition_of_pack(one) != edition_of_pack(pack)
    ]
    kept = kept_with(folder, pack) if superseded(pack, shelf) else None
    return _tried(folder, (*others, pack), pack, tell, word, kept)


def read_cases(folder: Path, family_name: str) -> tuple[Case, ...]:
    """The worked cases of a family by file name. Raises: UnreadableRules, for the first that is none."""
    return tuple(read_case(file_bytes(path, name), name) for path, name in _files(folder, family_name))


def _files(folder: Path, family_name: str) -> list[tuple[Path, str]]:
    return [(path, path.relative_to(folder).as_posix()) for path in sorted((folder / family_name / "cases").glob("*.json"))]


def _with_word(files: list[tuple[Path, str]], word: str) -> list[tuple[Path, str]]:
    return [(path, file) for path, file in files if not word or word in path.stem or word.encode() in file_bytes(path, file)]


def _tried(
    folder: Path,
    packs: Sequence[PackHead],
    only: RulePack | None,
    tell: Callable[[int, int], None] | None = None,
    word: str = "",
    kept: KeptOfCases | None = None,
) -> Trial:
    trial = Trial(terms=terms_of(packs))
    with ExitStack() as leaving:
        running: dict[str, TwoChannels] = {}
        for name in dict.fromkeys(family(pack) for pack in packs):
            own = [pack for pack in in_order(packs) if family(pack) == name]
            files = _with_word(_files(folder, name), word)
            for number, (path, file) in enumerate(files, start=1):
                try:
                    case = read_case(file_bytes(path, file), file)
                except UnreadableRules as error:
                    trial.findings.append(Finding(error.file, str(error)))
                    continue
                trial.cases.append(case)
                for claimed, claim in case.claims if kept is None else as_kept(case, kept):
                    trial.written += len(claim.expectations)
                    _judge(trial, case, claimed, claim, own, only, running, leaving)
                if tell:
                    tell(number, len(files))
            if not word and (by := only or (own[-1].whole() if files else None)):
                _calculate(trial, folder, name, by, followed=kept is not None)
    return trial


def _calculate(trial: Trial, folder: Path, family_name: str, pack: RulePack, *, followed: bool) -> None:
    """Adds what became of the worked calculations of a family, by one pack; of one that is followed, those that were there by then."""
    if family(pack) != family_name:
        return
    for path in sorted(path for place in (folder, folder / family_name) for path in (place / FOLDER).glob("*.json")):
        file = path.relative_to(folder).as_posix()
        try:
            rows = read_rows(file_bytes(path, file), file)
        except UnreadableRules as error:
            trial.findings.append(Finding(error.file, str(error)))
            continue
        for row in rows:
            if followed and revision(pack) < row.since_revision:
                continue
            trial.written += len(row.gives)
            trial.compared += len(row.gives)
            trial.calculated.append(row)
            faults = "; ".join(row.faults(pack))
            trial.findings.append(Finding(row.name, f"{row.place}: by {pack.pack_id}, {faults}" if faults else ""))


def _judge(
    trial: Trial,
    case: Case,
    name: str,
    claim: Claim,
    packs: Sequence[PackHead],
    only: RulePack | None,
    running: dict[str, TwoChannels],
    leaving: ExitStack,
) -> None:
    """Adds what became of one claim, if its day falls into the time of the pack that is asked for."""
    try:
        installation = described(case, claim, trial.terms)
        head = next((pack for pack in reversed(packs) if judges(pack, installation)), None)
        if head is None or (only is not None and head is not only):
            if only is None:
                trial.findings.append(Finding(name, f"{claim.says} No published pack was in use on the day of this work"))
            return
        results = _results(case, claim, installation, head.whole(), running, leaving)
    except UnreadableRules as error:
        trial.findings.append(Finding(name, str(error)))
    except (Refused, EngineDisagreement) as error:
        trial.findings.append(Finding(name, f"{case.place(claim.described)}: {claim.says} {error}"))
    except _Lacking as error:
        trial.findings.append(Finding(name, f"{claim.says} It cannot be judged: {error}"))
    else:
        trial.compared += len(results)
        trial.claims.append((case, claim))
        faults = "; ".join(f"{case.place(one.expectation.pointer)}: {one.fault}" for one in results if one.fault)
        trial.findings.append(Finding(name, f"{claim.says} By {head.pack_id}, {faults}" if faults else ""))


def _results(
    case: Case, claim: Claim, installation: Installation, pack: RulePack, running: dict[str, TwoChannels], leaving: ExitStack
) -> tuple[Compared, ...]:
    if pack.pack_id not in running:
        running[pack.pack_id] = leaving.enter_context(closing(TwoChannels(pack, Kept())))
    try:
        channels = running[pack.pack_id]
        return judged(case, claim, installation, pack, channels.acts, channels.memory)
    except LookupError as error:
        raise _Lacking(f"{pack.pack_id} lacks {error}, which is read by name") from None


class _Lacking(BondwrightError):
    """A pack lacks something that the service reads by its name."""


def described(case: Case, claim: Claim, terms: Terms) -> Installation:
    """The installation of a claim. Raises: UnreadableRules, at its place in the case, if the description is refused."""
    try:
        return read_installation(orjson.dumps(claim.installation), terms)
    except Refused as error:
        first = error.faults[0]
        place = f"{claim.described}{first.pointer}" if claim is case.claim else claim.described
        raise case.refused(place, f"the description is refused at `{first.pointer or '/'}`: {first.detail}") from None

"""All checks of a pack in one call: a fast set for every day, and all of it before publishing, kept by the digest of its rules."""

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TypeAlias

from bondwright.proofs.examples import as_expected
from bondwright.proofs.findings import Finding
from bondwright.proofs.joined import joined
from bondwright.proofs.mutants import survivors
from bondwright.proofs.reduced import searched
from bondwright.proofs.solver.kinds import kinds
from bondwright.proofs.solver.laws import caution, firm
from bondwright.proofs.solver.likeness import same_as_the_reader
from bondwright.proofs.solver.living import effective, reachable, satisfiable
from bondwright.proofs.solver.sizes import complete, growing, rising
from bondwright.proofs.sources import sourced
from bondwright.proofs.version import code_version
from bondwright.rulebook.because import rules_text
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import RulePack

Check: TypeAlias = Callable[[RulePack], tuple[Finding, ...]]
Tell: TypeAlias = Callable[[str, int, int], None]
"""Is told the name of a check, its number and how many there are."""

FAST: tuple[Check, ...] = (sourced, rising, joined, kinds, as_expected, satisfiable, reachable)
"""What is checked every time."""
SLOW: tuple[Check, ...] = (complete, growing, caution, firm, effective, same_as_the_reader, searched, survivors)
"""What is checked besides before a pack is published. `survivors` runs the examples again: its score is void if one fails."""

DECIDES = (
    "conclude/*.py",
    "facts/parts/part.py",
    "members.py",
    "plan/acts.py",
    "proofs/*.py",
    "proofs/solver/*.py",
    "rulebook/*.py",
    "rulebook/declared/*.py",
    "said.py",
)
"""Code that has a say in what the checks find."""


def check(pack: RulePack, full: bool, keep: Path | None = None, tell: Tell | None = None) -> tuple[Finding, ...]:
    """What the checks found of `pack`: the fast set, or all of them where `full`.

    `keep`: a folder in which findings are kept by the digest of what decides in the pack and the version of the checks, and from which
    they are taken again; what could not be brought to its end is never kept. `tell`: told before each check which of how many it is.
    """
    checks = (*FAST, *(SLOW if full else ()))
    if not keep:
        return _run(pack, checks, tell)
    digest = hashlib.sha256(rules_text(pack.text)).hexdigest()
    return remembered(pack, checks, keep / f"{digest}-{code_version(DECIDES)}-{'full' if full else 'fast'}.json", tell)


def remembered(pack: RulePack, checks: Sequence[Check], kept: Path, tell: Tell | None = None) -> tuple[Finding, ...]:
    """The findings in the file `kept`; where there is none, those of `checks`, then kept if every one was brought to its end."""
    if kept.exists():
        return _read(kept)
    found = _run(pack, checks, tell)
    if all(finding.finished for finding in found):
        kept.parent.mkdir(parents=True, exist_ok=True)
        draft = kept.with_suffix(".new")
        draft.write_text(
            json.dumps([asdict(one) | {"place": one.place and one.place._asdict()} for one in found], indent=1), encoding="utf-8"
        )
        draft.replace(kept)
    return found


def _run(pack: RulePack, checks: Sequence[Check], tell: Tell | None) -> tuple[Finding, ...]:
    found: dict[Finding, None] = {}
    for number, one in enumerate(checks, start=1):
        if tell:
            tell(one.__name__.replace("_", " "), number, len(checks))
        found |= dict.fromkeys(one(pack))
    return tuple(found)


def _read(kept: Path) -> tuple[Finding, ...]:
    entries = json.loads(kept.read_text(encoding="utf-8"))
    return tuple(Finding(**{**entry, "place": Place(**entry["place"]) if entry["place"] else None}) for entry in entries)

"""What a check found: a word on a pack, with its weight and its place."""

from dataclasses import dataclass
from typing import Literal, TypeAlias

from bondwright.rulebook.facts import Place

Severity: TypeAlias = Literal["error", "warning", "information"]
"""An error keeps a pack from being published; a warning asks for a look; information is counted."""

NEEDED = "write a case that"
"""Begins the words of a finding that say which worked case would put it right."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that a check found.

    `check`: name of the check. `place`: where to look in a rule file; None where it is about the pack as a whole.
    `finished`: no when the check could not be brought to its end, which is always an error and never kept as a proof.
    """

    check: str
    severity: Severity
    place: Place | None
    detail: str
    finished: bool = True


def errors(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Those findings that keep a pack from being published."""
    return tuple(finding for finding in findings if finding.severity == "error")

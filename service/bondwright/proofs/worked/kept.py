"""What became of mistakes, kept in a file by the digest of all that it rests on, so that the same mistake on the same cases is free."""

import hashlib
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeAlias

from bondwright.proofs.findings import Finding
from bondwright.proofs.version import code_version

Fate: TypeAlias = str
"""What became of a mistake: one of those below."""
NOTICED, SAME, REFUSED, SURVIVES = "noticed", "same", "refused", "survives"
_ALL_CODE = ("**/*.py",)
"""Nearly all of it has a say in what a case comes to."""


class KeptFates:
    """What became of the mistakes in one pack by one set of cases.

    `folder`: where it is kept; nothing is without one. `rests_on`: digest of pack and cases; the version of the code is added.
    What is kept is read as data alone, and only where its own digest is right; else all of it is worked out anew.
    `found`: how many were known.
    """

    def __init__(self, folder: Path | None, rests_on: str) -> None:
        self._file = folder / f"{rests_on}-{code_version(_ALL_CODE)}-mistakes.json" if folder else None
        self._before = _read(self._file) if self._file else {}
        self._now: dict[str, Any] = {}
        self.found = 0

    def of(self, name: str) -> tuple[Fate, list[str]] | None:
        """What became of a mistake, and each survivor in words; nothing where it is not known."""
        known = self._before.get(name)
        if known is None:
            return None
        self.found += 1
        return known["fate"], known["told"]

    def keep(self, name: str, fate: Fate, survivors: tuple[Finding, ...]) -> None:
        """Adds one; what could not be brought to its end is left out."""
        if all(one.finished for one in survivors):
            self._now[name] = {"fate": fate, "told": [one.detail for one in survivors]}

    def write(self) -> None:
        """Puts all that is known now in the place of what was kept."""
        known = {**self._before, **self._now}
        if self._file is None or known == self._before:
            return
        self._file.parent.mkdir(parents=True, exist_ok=True)
        draft = self._file.with_suffix(".new")
        draft.write_text(json.dumps({"digest": _digest(known), "mistakes": known}, indent=1), encoding="utf-8")
        draft.replace(self._file)


def _read(file: Path) -> Mapping[str, Any]:
    """What is kept in a file; nothing where there is none, or where it is not as it was written."""
    try:
        held = json.loads(file.read_bytes())
        known = held["mistakes"]
        right = held["digest"] == _digest(known) and all(_is_one(one) for one in known.values())
    except (OSError, ValueError, LookupError, TypeError, AttributeError):
        return {}
    return known if right else {}


def _is_one(entry: Any) -> bool:
    fates = (NOTICED, SAME, REFUSED, SURVIVES)
    return set(entry) == {"fate", "told"} and entry["fate"] in fates and all(isinstance(one, str) for one in entry["told"])


def _digest(known: Mapping[str, Any]) -> str:
    return hashlib.sha256(json.dumps(known, sort_keys=True).encode()).hexdigest()

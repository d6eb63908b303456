"""Where the rule files are, and the lock of the packs that are published."""

import re
from datetime import date
from pathlib import Path

from bondwright.errors import UnreadableRules
from bondwright.rulebook.facts import Place
from bondwright.shelf.lines import file_bytes
from bondwright.shelf.reading.nodes import Scalar, shown
from bondwright.shelf.reading.scalars import day

LOCK = "published.lock"
"""One line for each published pack: its id, the SHA-256 of its file in hex, the day it was published."""

_LOCK_LINE = re.compile(r"(\S+) ([0-9a-f]{64}) ([0-9]{4}-[0-9]{2}-[0-9]{2})")


def rules_folder() -> Path:
    """The folder of rule files: inside the installed package, or at the top of the checkout."""
    package = Path(__file__).parent.parent
    inside = package / "_rules"
    return inside if inside.is_dir() else package.parent.parent / "rules"


def locked(folder: Path) -> dict[str, tuple[int, str, date]]:
    """Line, digest and day of each pack in the lock, which may be left out while nothing is published."""
    path = folder / LOCK
    lines: dict[str, tuple[int, str, date]] = {}
    text = file_bytes(path, LOCK).decode("ascii", "replace") if path.exists() else ""
    for number, line in enumerate(text.split("\n"), start=1):
        found = _LOCK_LINE.fullmatch(line)
        if line and not found:
            raise UnreadableRules(LOCK, number, 1, "a line is `pack_id sha256 date`, with one space between")
        if found and found[1] in lines:
            raise UnreadableRules(LOCK, number, 1, f"pack {shown(found[1])} stands twice; first at line {lines[found[1]][0]}")
        if found:
            lines[found[1]] = (number, found[2], day(Scalar(found[3], False, Place(LOCK, number, found.start(3) + 1)), "the day"))
    return lines


def published_on(folder: Path) -> dict[str, date]:
    """The day on which each pack in the lock was published, by pack_id. Raises: UnreadableRules."""
    return {pack_id: published for pack_id, (_, _, published) in locked(folder).items()}

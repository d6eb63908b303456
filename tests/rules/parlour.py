"""An invented place, a milking parlour with a floor grid, added to a copy of the editable rules by the files beside this module."""

import hashlib
import shutil
from pathlib import Path

from tests.rules.raised import changed, raised

from bondwright.shelf.packs import LOCK, consolidate, draft_pack

EDITION = "iec60364/2017"
PLACE = "milking_parlour"
_FILES = Path(__file__).parent / PLACE
_INTO = {
    "facts": ("iec60364/vocabulary.yaml", "facts:\n"),
    "room_kinds": ("iec60364/materials.yaml", "  room_kinds:"),
    "item_kinds": ("iec60364/materials.yaml", "  item_kinds:"),
    "values": ("iec60364/2017.yaml", "values:\n"),
    "outcomes": ("iec60364/outcomes.yaml", "outcomes:\n"),
    "rules": ("iec60364/2017.yaml", "rules:\n"),
    "advice": ("iec60364/outcomes.yaml", "advice:\n"),
    "places": ("iec60364/places.yaml", "places:\n"),
    "joined_rooms": ("iec60364/places.yaml", "joined_rooms:\n"),
}
"""Where each file goes: the file of the rules, and the beginning of the line after which it is put in."""


def with_parlour(folder: Path) -> Path:
    """The rules in a new `folder`, of the format that declares places, with the parlour; nothing is published."""
    raised(folder)
    shutil.copy(folder / "vocabulary.yaml", folder / "iec60364" / "vocabulary.yaml")  # a place of this family alone
    for name, (file, section) in _INTO.items():
        _put_in(folder / file, section, (_FILES / f"{name}.yaml").read_text(encoding="utf-8"))
    changed(folder / "iec60364" / "outcomes.yaml", "connect_room, supplement]", "connect_room, supplement, grid_check]")
    changed(
        folder / "iec60364" / "vocabulary.yaml",
        "choices: [bath_or_shower, ordinary_room]",
        f"choices: [bath_or_shower, ordinary_room, {PLACE}]",
    )
    for case in (_FILES / "cases").glob("*.json"):
        shutil.copy(case, folder / "iec60364" / "cases")
    return folder


def _put_in(file: Path, section: str, lines: str) -> None:
    text = file.read_text(encoding="utf-8")
    start = text.index(f"\n{section}") + 1
    end = text.index("\n", start) + 1
    file.write_text(text[:end] + lines + text[end:], encoding="utf-8")


def publish_unproved(folder: Path) -> None:
    """Puts the pack on the shelf of `folder` without the proofs, which take minutes."""
    pack = draft_pack(folder, EDITION)
    text = consolidate(folder, EDITION)
    (folder / "published").mkdir()
    (folder / "published" / f"{pack.pack_id}.yaml").write_bytes(text)
    (folder / LOCK).write_text(f"{pack.pack_id} {hashlib.sha256(text).hexdigest()} 2026-11-30\n", encoding="ascii")

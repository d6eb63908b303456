"""An invented place, a milking parlour with a floor grid, added to a copy of the editable rules by the files beside this module."""

import hashlib
import shutil
from collections.abc import Mapping
from pathlib import Path

from tests.rules.raised import changed, raised
from tests.rules.revisions import newest_id, shelf

from bondwright.cases.kept import kept
from bondwright.cli.rules.publishing.following import with_cases
from bondwright.cli.rules.publishing.writing import files_of, write_together
from bondwright.cli.rules.worked.cases import tried
from bondwright.rulebook.because import KeptCases
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import LOCK, consolidate, draft_pack, issued_text, load_pack, rules_folder

EDITION = "iec60364/2017"
PLACE = "milking_parlour"
CASE = "a-welded-grid-below-the-limit-serves-where-animals-stand.json"
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
    "reasons": ("iec60364/2017.yaml", "lenient:\n"),
}
"""Where each file goes: the file of the rules, and the beginning of the line after which it is put in."""


def with_parlour(folder: Path) -> Path:
    """The rules in a new `folder`, of the format that declares places, with the parlour; nothing is published."""
    raised(folder)
    shutil.copy(folder / "vocabulary.yaml", folder / "iec60364" / "vocabulary.yaml")  # a place of this family alone
    edition = folder / f"{EDITION}.yaml"
    edition.write_text(f"{edition.read_text(encoding='utf-8').partition('lenient:')[0]}lenient:\n", encoding="utf-8")  # of steps before
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
    file.write_text(text[:end] + lines.replace("PACK_BEFORE", newest_id("iec60364-2017")) + text[end:], encoding="utf-8")


def publish_without_parlour(folder: Path) -> None:
    """Puts the edition without it on the shelf of `folder`, with its worked cases, as the pack that the parlour follows."""
    plain = draft_pack(rules_folder(), EDITION)
    claims = tried(rules_folder(), plain, tuple(shelf().values())).claims
    cases = kept(claims)
    held = KeptCases(len(claims), sum(len(claim.expectations) for _, claim in claims), hashlib.sha256(cases).hexdigest())
    pack = load_pack(with_cases(issued_text(plain), held), f"published/{plain.pack_id}.yaml")
    _put_on_shelf(folder, pack, files_of(folder, pack, cases))


def publish_unproved(folder: Path) -> None:
    """Puts the pack with the parlour on the shelf of `folder`, without any proof."""
    name = f"published/{draft_pack(folder, EDITION).pack_id}.yaml"
    pack = load_pack(consolidate(folder, EDITION), name)
    _put_on_shelf(folder, pack, {folder / name: pack.text})


def _put_on_shelf(folder: Path, pack: RulePack, files: Mapping[Path, bytes]) -> None:
    write_together(files)
    (folder / LOCK).write_text(f"{pack.pack_id} {pack.digest} 2026-11-30\n", encoding="ascii")

"""A copy of the editable rules as the next revision, with changes of the tests' own."""

import re
import shutil
from pathlib import Path

from tests.rules.revisions import newest_id
from tests.rules.whole import FAMILY_FILES

from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import draft_pack, rules_folder

_ID = re.compile(r"^(  id: \S+-r)([0-9]+)$", re.MULTILINE)


def raised(folder: Path, *facts: str) -> Path:
    """The rules in a new `folder`, with more facts in the vocabulary, each a line such as `name: {of: room, …}`; the files of a
    family are whole, and nothing is published.
    """
    shutil.copytree(rules_folder(), folder, ignore=shutil.ignore_patterns("published", "published.lock", "withdrawn.yaml"))
    for name, text in FAMILY_FILES.items():
        (folder / name).write_text(text, encoding="utf-8")
    for edition in (*folder.glob("bs7671/*.yaml"), folder / "iec60364" / "2017.yaml"):
        text = edition.read_text(encoding="utf-8")
        edition.write_text(_ID.sub(lambda found: f"{found[1]}{int(found[2]) + 1}", text), encoding="utf-8")
    changed(folder / "vocabulary.yaml", "facts:\n", "".join(("facts:\n", *(f"  {fact}\n" for fact in facts))))
    return folder


def raised_id(edition: str) -> str:
    """What such rules call the pack of an edition, such as `bs7671-2018-a4`."""
    return _ID.sub(lambda found: f"{found[1]}{int(found[2]) + 1}", f"  id: {newest_id(edition)}").removeprefix("  id: ")


def changed(file: Path, was: str, now: str) -> None:
    """Puts one text in place of another that stands once in a file, or at the beginning of a line."""
    text = file.read_text(encoding="utf-8")
    assert text.count(was) == 1, f"{text.count(was)} of {was!r}"
    file.write_text(text.replace(was, now), encoding="utf-8")


def raised_pack(folder: Path, *facts: str, edition: str = "bs7671/2018-a4") -> RulePack:
    """The pack that publishing an edition of such rules would give."""
    return draft_pack(raised(folder, *facts), edition)

"""The file of the edition as it would be: tried on a copy, with the revision that it then has, and what it is compared with."""

import re
import shutil
import tempfile
from contextlib import suppress
from pathlib import Path

from bondwright.cli.rules.choosing import WrongCall, edition_of_pack
from bondwright.cli.rules.differences import changes
from bondwright.cli.rules.publishing.writing import locked_digest
from bondwright.errors import UnreadableRules
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.amendments import amended_by
from bondwright.shelf.packs import LOCK, draft_pack
from bondwright.shelf.published import on_shelf
from bondwright.shelf.words.reading import as_said

_REVISION = re.compile(r"^(  id: +(?P<stem>[a-z0-9-]+)-r)(?P<number>[0-9]+)", re.MULTILINE)
_REASONS = re.compile(r"^lenient:.*\n(?:[ -].*\n|\n(?=[ -]))*", re.MULTILINE)


def next_revision(folder: Path, text: str) -> str:
    """The text with the next free revision in its `id`, where the pack of that id is published already.

    Its reasons for leniency are then of the step before, and kept in the pack of that id: they go.
    """
    lock = (folder / LOCK).read_bytes() if (folder / LOCK).exists() else b""
    found = _REVISION.search(text)
    if not found:
        return text
    number = int(found["number"])
    while locked_digest(lock, f"{found['stem']}-r{number}"):
        number += 1
    if number == int(found["number"]):
        return text
    return _REASONS.sub("", f"{text[: found.start()]}{found[1]}{number}{text[found.end() :]}")


def as_published(folder: Path, text: str, pack: RulePack) -> str:
    """The text with the revision and the reasons of the newest published pack of the edition, where `pack` says the same as that one."""
    kept = [one for one in on_shelf(folder) if edition_of_pack(one) == edition_of_pack(pack)]
    found = _REVISION.search(text)
    if not kept or not found or _REASONS.search(text) or changes(newest := kept[-1].whole(), pack):
        return text
    reasons = _REASONS.search("\n".join((*as_said(newest.text), "")))
    number = newest.pack_id.rpartition("-r")[2]
    return f"{text[: found.start()]}{found[1]}{number}{text[found.end() :]}{reasons.group() if reasons else ''}"


def since(folder: Path, edition: str, pack: RulePack) -> str:
    """With what to compare the edition: its newest published pack, else the edition that it amends."""
    with suppress(UnreadableRules):
        if kept := [one for one in on_shelf(folder) if edition_of_pack(one) == edition_of_pack(pack)]:
            return kept[-1].pack_id
    return amended_by(folder, edition) or edition


def tried(folder: Path, edition: str, text: str) -> RulePack:
    """The pack that the edition would make with that text, tried on a copy. Raises: WrongCall."""
    with tempfile.TemporaryDirectory() as place:
        copy = Path(place) / "rules"
        shutil.copytree(folder, copy, ignore=shutil.ignore_patterns("published", "cases", "__pycache__"))
        (copy / f"{edition}.yaml").write_text(text, encoding="utf-8")
        try:
            return draft_pack(copy, edition)
        except UnreadableRules as error:
            raise WrongCall(f"nothing was written, for the rules would refuse it: {error}") from None

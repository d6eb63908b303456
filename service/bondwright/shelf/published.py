"""The shelf of published packs, each compared with its line in the lock and read when it is asked for."""

import hashlib
import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import TypeVar

from bondwright.errors import UnreadableRules
from bondwright.rulebook.pack import PackHead, RulePack
from bondwright.shelf.folder import LOCK, locked
from bondwright.shelf.header import read_head
from bondwright.shelf.lines import file_bytes
from bondwright.shelf.packs import MOST_KEPT, load_to_judge
from bondwright.shelf.reading.nodes import shown
from bondwright.shelf.words.shelved import apart, head_on_shelf

Head = TypeVar("Head", bound=PackHead)


@dataclass(frozen=True, slots=True)
class PublishedPack(PackHead):
    """A pack on the shelf, whose bytes were those of its line in the lock: they and its rules are read when first asked for.

    `folder`: of the rules; `file`: its name there.
    """

    folder: Path
    file: str

    def pieces(self) -> tuple[bytes, bytes]:
        """The bytes of its file, and of its language file, read anew each time. Raises: UnreadableRules, if they were changed since."""
        own_file, language_file = _read(self.folder, self.file)
        if _digest(own_file, language_file) != self.digest:
            raise UnreadableRules(self.file, 1, 1, f"the file was changed while it was in use; put back what its digest in `{LOCK}` tells")
        return own_file, language_file

    def whole(self) -> RulePack:
        """The pack with its rules. Raises: UnreadableRules, if they cannot be read."""
        return _whole(self)


@lru_cache(maxsize=MOST_KEPT)
def _whole(pack: PublishedPack) -> RulePack:
    return load_to_judge(pack.text, pack.file)


def _read(folder: Path, file: str) -> tuple[bytes, bytes]:
    return apart(file_bytes(folder / file, file), folder, file)


def _digest(own_file: bytes, language_file: bytes) -> str:
    digest = hashlib.sha256(own_file)
    digest.update(language_file)
    return digest.hexdigest()


def published_packs(folder: Path) -> tuple[RulePack, ...]:
    """Every published pack with its rules, in order. Raises: UnreadableRules, as `on_shelf`, and if rules cannot be read."""
    return tuple(pack.whole() for pack in on_shelf(folder))


def on_shelf(folder: Path, unfinished: str = "") -> tuple[PublishedPack, ...]:
    """Every pack in `published/` of the rules folder, in order; each file is compared with its line in the lock.

    `unfinished`: id of a pack whose file may stand there without a line, for publishing it was cut off; it is left out then.

    Raises: UnreadableRules, also when a file was changed, has no line in `published.lock`, or a line has no file.
    """
    lines = locked(folder)
    packs = []
    for path in sorted((folder / "published").glob("*.yaml")):
        if "." in path.stem:  # a language file
            continue
        name = f"published/{path.name}"
        line, digest, _ = lines.pop(path.stem, (0, "", date.min))
        if not line and path.stem == unfinished:
            continue
        if not line:
            raise UnreadableRules(name, 1, 1, f"pack `{path.stem}` has no line in `{LOCK}`")
        own_file, language_file = _read(folder, name)
        if _digest(own_file, language_file) != digest:
            raise UnreadableRules(
                name, 1, 1, f"the file differs from its digest in `{LOCK}`, line {line}; a published pack is never edited"
            )
        pack = PublishedPack(**read_head(head_on_shelf(own_file, language_file, name)), digest=digest, folder=folder, file=name)
        if pack.pack_id != path.stem:
            raise UnreadableRules(name, 1, 1, f"the file holds pack `{pack.pack_id}`; its name must be `{pack.pack_id}.yaml`")
        packs.append(pack)
    for pack_id, (line, *_) in lines.items():
        raise UnreadableRules(LOCK, line, 1, f"pack {shown(pack_id)} has no file `published/{pack_id}.yaml`")
    return in_order(packs)


def in_order(packs: Iterable[Head]) -> tuple[Head, ...]:
    """The packs, first usable first; then by id, revision r10 after r9."""
    return tuple(sorted(packs, key=lambda pack: (pack.usable_from, _by_number(pack.pack_id))))


def _by_number(pack_id: str) -> list[str | int]:
    return [int(part) if part.isdigit() else part for part in re.split(r"(\d+)", pack_id)]

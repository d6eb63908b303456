"""The files that editions share, each read once: its lines, and its sections with places in the lines of an edition."""

import re
from functools import lru_cache
from pathlib import Path

from msgspec import Struct

from bondwright.shelf.declared.clauses import SECTION as CLAUSES
from bondwright.shelf.declared.names import SECTION as ROLES
from bondwright.shelf.drafts.differing import DIFFERS, WITHOUT, laid_over
from bondwright.shelf.edition import EditionFile
from bondwright.shelf.lines import file_bytes, lines_of
from bondwright.shelf.places.declared import SECTIONS as PLACES
from bondwright.shelf.reading.nodes import Map, moved, read_nodes, refused
from bondwright.shelf.reading.scalars import fields, text
from bondwright.shelf.words.sentences import CALCULATIONS
from bondwright.shelf.words.sentences import SECTION as SENTENCES

SHARED_FILES = (
    ("vocabulary.yaml", ("facts", "asks")),
    ("outcomes.yaml", ("stages", "outcomes", "joined", "advice", "readings", "cautions")),
    ("materials.yaml", ("properties",)),
    ("sources.yaml", ("sources",)),
)
"""Files that all editions share, in the order of the published file, each with its sections."""
LATER_FILES = (
    ("places.yaml", PLACES),
    ("reference.yaml", ("references",)),
    (f"{SENTENCES}.yaml", (SENTENCES,)),
    (f"{SENTENCES}-of-{CALCULATIONS}.yaml", (CALCULATIONS,)),
)
"""The files that may be left out: of places, of the tables that calculations look up, of the sentences that code fills; they stand last."""
PLACE_FILES = "places"
"""The folder of a family with a file for each place, laid over its base."""
_OPTIONAL = {SHARED_FILES[1][1]: (ROLES,), SHARED_FILES[3][1]: (CLAUSES,)}
"""Sections that a file may have besides, by those that it must have."""
MAY_LACK = tuple(name for names in (*(names for _, names in LATER_FILES), *_OPTIONAL.values()) for name in names)
"""Sections that no edition need have."""

_DIFFERS = re.compile(rf"^{DIFFERS} *:".encode(), re.MULTILINE)

_MOST_KEPT = 64
"""Files that a process remembers once it has read them: those of the drafts of all editions, and room for changes to these."""


class SharedFile(Struct, frozen=True):
    """One of them as it is on disk: its name within the rules folder, what it holds, and the sections that it must have.

    `base`: the file that all families share, where this one states only what differs.
    """

    name: str
    data: bytes
    known: tuple[str, ...]
    base: "SharedFile | None" = None


def shared_files(folder: Path, edition: str) -> tuple[SharedFile, ...]:
    """The files that the edition shares with others, in the order of the published file. Raises: UnreadableRules."""
    found = []
    for file, known in (*SHARED_FILES, *LATER_FILES):
        name = shared_file(folder, edition, file)
        if (file, known) not in LATER_FILES or (folder / name).exists():
            data = file_bytes(folder / name, name)
            base = SharedFile(file, file_bytes(folder / file, file), known) if name != file and _DIFFERS.search(data) else None
            found.append(SharedFile(name, data, known, base))
    return tuple(found)


def place_files(folder: Path, edition: str) -> tuple[tuple[str, bytes], ...]:
    """The files of places that the edition's family judges besides: each by its name within the rules folder, in the order of names."""
    family = edition.rpartition("/")[0]
    names = (f"{family}/{PLACE_FILES}/{path.name}" for path in sorted((folder / family / PLACE_FILES).glob("*.yaml")))
    return tuple((name, file_bytes(folder / name, name)) for name in names)


def shared_file(folder: Path, edition: str, file: str) -> str:
    """The name within `folder` of a file that editions share: the edition's family may bring its own."""
    own = f"{edition.rpartition('/')[0]}/{file}"
    return own if (folder / own).is_file() else file


def may_have(known: tuple[str, ...]) -> tuple[str, ...]:
    """Sections that a file may have besides `known`, those that it must have."""
    return _OPTIONAL.get(known, ())


@lru_cache(maxsize=_MOST_KEPT)
def read_shared(shared: SharedFile) -> EditionFile:
    """Its lines, and its sections with their places in these. Raises: UnreadableRules."""
    root = read_nodes(shared.data, shared.name)
    if shared.base is None:
        fields(root, f"file `{shared.name}`", shared.known, may_have(shared.known))
        return EditionFile(shared.name, lines_of(shared.data, shared.name), root)
    named = fields(root, f"file `{shared.name}`", (DIFFERS,), (*shared.known, *may_have(shared.known), WITHOUT))[DIFFERS]
    if text(named, f"`{DIFFERS}`") != shared.base.name:
        raise refused(named.place, f"a file of this name differs from `{shared.base.name}`; name that one")
    return laid_over(read_shared(shared.base), EditionFile(shared.name, lines_of(shared.data, shared.name), root))


@lru_cache(maxsize=_MOST_KEPT)
def sections_at(shared: SharedFile, before: int) -> Map:
    """The same sections where the lines of the file follow `before` others."""
    return moved(read_shared(shared).root, before, "")

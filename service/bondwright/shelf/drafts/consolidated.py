"""The editable files of an edition put together: its own with its amendments made, then those that editions share."""

from collections.abc import Iterator, Mapping
from functools import lru_cache
from pathlib import Path

from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import Source
from bondwright.shelf.amendments import edition_of
from bondwright.shelf.declared.clauses import SECTION as CLAUSES
from bondwright.shelf.declared.names import SECTION as ROLES
from bondwright.shelf.edition import Edition
from bondwright.shelf.lines import Line, file_bytes, lines_of
from bondwright.shelf.places.declared import SECTIONS as PLACES
from bondwright.shelf.reading.nodes import Node, read_nodes
from bondwright.shelf.reading.scalars import fields
from bondwright.shelf.reading.vocabulary import read_sources
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
_OPTIONAL = {SHARED_FILES[1][1]: (ROLES,), SHARED_FILES[3][1]: (CLAUSES,)}
"""Sections that a file may have besides, by those that it must have."""

_MOST_KEPT = 64
"""Files that a process remembers once it has read them: those of the drafts of all editions, and room for changes to these."""


@lru_cache(maxsize=_MOST_KEPT)
def _sections(data: bytes, name: str, known: tuple[str, ...]) -> Mapping[str, Node]:
    return fields(read_nodes(data, name), f"file `{name}`", known, _OPTIONAL.get(known, ()))


def consolidated(folder: Path, edition: str) -> tuple[Line, ...]:
    """The lines of the draft; `edition` is such as `bs7671/2018-a4`. Raises: UnreadableRules."""
    shared: list[Line] = []
    sources: Mapping[str, Source] = {}
    for file, known in (*SHARED_FILES, *LATER_FILES):
        name = shared_file(folder, edition, file)
        if (file, known) in LATER_FILES and not (folder / name).exists():
            continue
        data = file_bytes(folder / name, name)
        sections = _sections(data, name, known)
        if "sources" in sections:
            sources = read_sources(sections["sources"])
        shared += [_mark(name), *lines_of(data, name)]
    own = edition_of(folder, edition, sources)
    lenient = (_mark(own.files[-1]), *own.lenient) if own.lenient else ()
    return (_mark(*own.files), *_with_origins(own), *shared, *lenient)


def shared_file(folder: Path, edition: str, file: str) -> str:
    """The name within `folder` of a file that editions share: the edition's family may bring its own."""
    own = f"{edition.rpartition('/')[0]}/{file}"
    return own if (folder / own).is_file() else file


def _mark(*files: str) -> Line:
    return Line(f"# ---- {' + '.join(files)}", Place(files[0], 1, 1), None)


def _with_origins(edition: Edition) -> Iterator[Line]:
    """The lines of an edition, each rule's id line followed by one that says where the rule stands."""
    ids = {rule.keys["id"].place.line: rule.keys["id"].place.column for rule in edition.rule_list()}
    for number, line in enumerate(edition.lines, start=1):
        yield line
        if number in ids:
            place = line.place
            yield Line(f'{" " * (ids[number] - 1)}from: "{place.file}:{place.line}"', place, None)

"""Amendments: an edition as its base with the changes of every amendment that leads to it.

Changes splice lines, so comments and places survive. What each touches is read anew; nothing else is read a second time.
"""

import re
from collections.abc import Sequence
from contextlib import suppress
from functools import lru_cache
from pathlib import Path
from typing import TypeAlias

from bondwright.errors import UnreadableRules
from bondwright.members import replace
from bondwright.rulebook.facts import Place
from bondwright.shelf.changes import Change
from bondwright.shelf.drafts.differing import WITHOUT, joined_to
from bondwright.shelf.drafts.read_again import read_again
from bondwright.shelf.drafts.shared import SharedFile, read_shared, sections_at
from bondwright.shelf.drafts.short_examples import written_out
from bondwright.shelf.drafts.verbs import ENTRIES, VERBS
from bondwright.shelf.edition import Edition, EditionFile, Part, check_rule
from bondwright.shelf.lines import Line, bytes_of, edited_at, file_bytes, lines_of, read_lines, read_section, span
from bondwright.shelf.reading.nodes import Map, Node, moved, read_nodes, refused, shown
from bondwright.shelf.reading.scalars import as_items, fields, listed, text

BASE_SECTIONS = ("pack", "values", "series", "tables", "rules")
"""Sections of the file of a base edition."""
AMENDMENT_SECTIONS = ("amends", "pack", "changes")
"""Sections of the file of an amendment."""
LENIENT = ("lenient",)
"""A section that either may have: why this edition is more lenient in something than the pack that it follows."""

MOST_KEPT = 32
"""Files and editions that a process remembers once it has read them; what they hold depends on their bytes alone."""

_File: TypeAlias = tuple[str, bytes]
"""A file by its name within the rules folder and what it holds."""

_EDITION = re.compile(r"[a-z0-9-]+(?:/[a-z0-9-]+)*")
_AMENDS = re.compile(rb"^amends *:", re.MULTILINE)


def edition_of(folder: Path, name: str, shared: tuple[SharedFile, ...], places: tuple[_File, ...] = ()) -> Edition:
    """The edition `name`, such as `bs7671/2018-a4`: its base with every amendment of the chain made in turn.

    `shared`: the files that stand behind it, `places`: those of the places of its family; amendments change these too.
    Raises: UnreadableRules.
    """
    chain = [_read(folder, name)]
    while amends := _amends(*chain[-1]):
        chain.append(_amended(folder, amends, chain))
    return _made(tuple(reversed(chain)), shared, places)


def amended_by(folder: Path, name: str) -> str | None:
    """The edition that the edition `name` amends; None for a base. Raises: UnreadableRules."""
    amends = _amends(*_read(folder, name))
    return text(amends, "`amends`") if amends else None


def head_of(folder: Path, name: str) -> Node:
    """What the file of the edition `name` says of its pack. Raises: UnreadableRules."""
    file, data = _read(folder, name)
    return _head(file, data)


def heads_of_family(folder: Path, name: str) -> dict[str, Node]:
    """The same of each edition of the family of the edition `name`; a head that cannot be read, or is of no edition, is left out."""
    family = name.rpartition("/")[0]
    found = {}
    for path in sorted((folder / family).glob("*.yaml")):
        with suppress(UnreadableRules):
            found[f"{family}/{path.stem}"] = head_of(folder, f"{family}/{path.stem}")
    return found


@lru_cache(maxsize=MOST_KEPT)
def _head(file: str, data: bytes) -> Node:
    return read_section(data, file, "pack")


def _amends(file: str, data: bytes) -> Node | None:
    """What the file names as its base; None where it is a base."""
    return _parsed(file, data).root.entries.get("amends") if _AMENDS.search(data) else None


@lru_cache(maxsize=MOST_KEPT)
def _made(chain: tuple[_File, ...], shared: tuple[SharedFile, ...], places: tuple[_File, ...]) -> Edition:
    """The edition that these files make, the base first."""
    *before, last = chain
    if before:
        return _amend(_made(tuple(before), shared, places), _parsed(*last))
    edition = _base(last, shared)
    for place in places:
        edition = _with_place(edition, _parsed(*place))
    return edition


def _with_place(edition: Edition, place: EditionFile) -> Edition:
    """The base with what the file of a place says."""
    fields(place.root, f"file `{place.name}`", (), (*edition.root.entries, WITHOUT, *LENIENT))
    for item in as_items(place.root.entries["rules"], "`rules`") if "rules" in place.root.entries else ():
        check_rule(item, place.lines)
    own = {key: node for key, node in place.root.entries.items() if key not in LENIENT}
    if len(own) < len(place.root.entries):
        edition = replace(edition, places=(*edition.places, place))
    try:
        return joined_to(edition, replace(place, root=Map(own, place.root.keys, place.root.place)))
    except UnreadableRules as error:
        if error.file:
            raise
        raise refused(edited_at(edition.lines, Place("", error.line, error.column)), error.detail) from None


def _base(file: _File, shared: tuple[SharedFile, ...]) -> Edition:
    """The edition of a base, with the shared files behind it."""
    name, data = file
    base = read_base(name, data)
    lines, entries, keys = [*base.lines], {**base.root.entries}, {**base.root.keys}
    for one in shared:
        lines.append(mark(one.name))
        sections = sections_at(one, len(lines))
        entries, keys = {**entries, **sections.entries}, {**keys, **sections.keys}
        lines += read_shared(one).lines
    return Edition((name,), tuple(lines), Map(entries, keys, base.root.place), lenient=base.lenient)


@lru_cache(maxsize=MOST_KEPT)
def read_base(name: str, data: bytes) -> Edition:
    """The edition that the file of a base makes alone; its nodes have their places in its lines. Raises: UnreadableRules."""
    base = read_again(name, data)
    try:
        fields(base.root, f"file `{name}`", BASE_SECTIONS, LENIENT)
        for item in as_items(base.root.entries["rules"], "`rules`"):
            check_rule(item, base.lines)
    except UnreadableRules as error:
        raise refused(edited_at(base.lines, Place("", error.line, error.column)), error.detail) from None
    where = _lenient(base)
    lines = (*base.lines[: where.start], *base.lines[where.stop :])
    root = base.root if where.stop in (0, len(base.lines)) else read_lines(lines)
    own = {key: node for key, node in root.entries.items() if key not in LENIENT}
    keys = {key: root.keys[key] for key in own}
    return Edition((name,), lines, Map(own, keys, root.place), lenient=_part(base, LENIENT[0]))


def mark(*files: str) -> Line:
    """The line that names the files of which the lines below it are."""
    return Line(f"# ---- {' + '.join(files)}", Place(files[0], 1, 1), None)


def _read(folder: Path, name: str) -> _File:
    file = f"{name}.yaml"
    return file, file_bytes(folder / file, file)


@lru_cache(maxsize=MOST_KEPT)
def _parsed(file: str, data: bytes) -> EditionFile:
    short = EditionFile(file, lines_of(data, file), read_nodes(data, file))
    lines = written_out(short)
    return short if lines == short.lines else EditionFile(file, lines, read_nodes(bytes_of(lines), file))


def _amended(folder: Path, amends: Node, before: Sequence[_File]) -> _File:
    name = text(amends, "`amends`")
    if not _EDITION.fullmatch(name):
        raise refused(amends.place, f"{shown(name)} is no edition; write its file without the ending, such as `bs7671/2018`")
    if f"{name}.yaml" in (file for file, _ in before):
        raise refused(amends.place, f"{shown(name)} leads back to this file; an amendment changes an earlier edition")
    if not (folder / f"{name}.yaml").is_file():
        raise refused(amends.place, f"there is no file `{name}.yaml` to amend")
    return _read(folder, name)


def _amend(edition: Edition, amendment: EditionFile) -> Edition:
    sections = fields(amendment.root, f"file `{amendment.name}`", AMENDMENT_SECTIONS, LENIENT)
    own = _part(amendment, LENIENT[0])
    edition = replace(edition, files=(*edition.files, amendment.name), header=_part(amendment, "pack"), lenient=own)
    for item in as_items(sections["changes"], "`changes`"):
        entries = fields(item, "a change", (), ENTRIES)
        kinds = [kind for kind in VERBS if kind in entries]
        if len(kinds) != 1:
            raise refused(item.place, f"a change has exactly one of {listed(VERBS)}")
        try:
            edition = VERBS[kinds[0]](Change(item, kinds[0], amendment), edition)
        except UnreadableRules as error:
            if error.file:
                raise
            # What the base itself has is at fault; its nodes know their place only in the text at hand.
            raise refused(edited_at(edition.lines, Place("", error.line, error.column)), error.detail) from None
    return edition


def _part(file: EditionFile, name: str) -> Part | None:
    """A section of a file by its lines and what they hold; None where it has none."""
    if name not in file.root.keys:
        return None
    where = _section(file, name)
    key, node = moved(file.root.keys[name], -where.start, ""), moved(file.root.entries[name], -where.start, "")
    return Part(file.lines[where], Map({name: node}, {name: key}, key.place))


def _lenient(file: EditionFile) -> slice:
    """The lines of its reasons for leniency; none where it has none."""
    return _section(file, *LENIENT) if LENIENT[0] in file.root.keys else slice(0, 0)


def _section(file: EditionFile, name: str) -> slice:
    """The lines of a section of the file."""
    keys = file.root.keys
    line = keys[name].place.line
    follower = min((key.place.line for key in keys.values() if key.place.line > line), default=len(file.lines) + 1)
    return span(file.lines, line, follower)

"""Amendments: an edition as its base with the changes of every amendment that leads to it.

Changes splice lines, so comments and places survive; what each touches is read anew, and the whole at the end of each amendment.
"""

import re
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import TypeAlias

from bondwright.errors import UnreadableRules
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import Source
from bondwright.shelf.changes import CHANGES, ENTRIES, Change
from bondwright.shelf.edition import Edition, EditionFile, check_rule
from bondwright.shelf.lines import edited_at, file_bytes, lines_of, read_lines, span
from bondwright.shelf.reading.nodes import Node, read_nodes, refused, shown
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


def edition_of(folder: Path, name: str, sources: Mapping[str, Source]) -> Edition:
    """The edition `name`, such as `bs7671/2018-a4`: its base with every amendment of the chain made in turn.

    `sources`: the declared ones, that changes cite. Raises: UnreadableRules.
    """
    chain = [_read(folder, name)]
    while amends := _parsed(*chain[-1]).root.entries.get("amends"):
        chain.append(_amended(folder, amends, chain))
    return _made(tuple(reversed(chain)), tuple(sources.items()))


def amended_by(folder: Path, name: str) -> str | None:
    """The edition that the edition `name` amends; None for a base. Raises: UnreadableRules."""
    amends = _parsed(*_read(folder, name)).root.entries.get("amends")
    return text(amends, "`amends`") if amends else None


def head_of(folder: Path, name: str) -> Node:
    """What the file of the edition `name` says of its pack. Raises: UnreadableRules."""
    root = _parsed(*_read(folder, name)).root
    return fields(root, f"file `{name}.yaml`", ("pack",), None)["pack"]


def heads_of_family(folder: Path, name: str) -> dict[str, Node]:
    """The same of each edition of the family of the edition `name`; a file that cannot be read, or is no edition, is left out."""
    family = name.rpartition("/")[0]
    found = {}
    for path in sorted((folder / family).glob("*.yaml")):
        with suppress(UnreadableRules):
            found[f"{family}/{path.stem}"] = head_of(folder, f"{family}/{path.stem}")
    return found


@lru_cache(maxsize=MOST_KEPT)
def _made(chain: tuple[_File, ...], sources: tuple[tuple[str, Source], ...]) -> Edition:
    """The edition that these files make, the base first. Remembered: each takes 0.1 s and more."""
    *before, last = chain
    if before:
        return _amend(_made(tuple(before), sources), _parsed(*last), dict(sources))
    base = _parsed(*last)
    fields(base.root, f"file `{base.name}`", BASE_SECTIONS, LENIENT)
    for item in as_items(base.root.entries["rules"], "`rules`"):
        check_rule(item, base.lines)
    where = _lenient(base)
    lines = (*base.lines[: where.start], *base.lines[where.stop :])
    return Edition((base.name,), lines, read_lines(lines), lenient=base.lines[where])


def _read(folder: Path, name: str) -> _File:
    file = f"{name}.yaml"
    return file, file_bytes(folder / file, file)


@lru_cache(maxsize=MOST_KEPT)
def _parsed(file: str, data: bytes) -> EditionFile:
    root = read_nodes(data, file)
    return EditionFile(file, lines_of(data, file), root)


def _amended(folder: Path, amends: Node, before: Sequence[_File]) -> _File:
    name = text(amends, "`amends`")
    if not _EDITION.fullmatch(name):
        raise refused(amends.place, f"{shown(name)} is no edition; write its file without the ending, such as `bs7671/2018`")
    if f"{name}.yaml" in (file for file, _ in before):
        raise refused(amends.place, f"{shown(name)} leads back to this file; an amendment changes an earlier edition")
    if not (folder / f"{name}.yaml").is_file():
        raise refused(amends.place, f"there is no file `{name}.yaml` to amend")
    return _read(folder, name)


def _amend(edition: Edition, amendment: EditionFile, sources: Mapping[str, Source]) -> Edition:
    sections = fields(amendment.root, f"file `{amendment.name}`", AMENDMENT_SECTIONS, LENIENT)
    own = amendment.lines[_lenient(amendment)]
    edition = replace(_with_header(edition, amendment), files=(*edition.files, amendment.name), lenient=own)
    for item in as_items(sections["changes"], "`changes`"):
        entries = fields(item, "a change", (), ENTRIES)
        kinds = [kind for kind in CHANGES if kind in entries]
        if len(kinds) != 1:
            raise refused(item.place, f"a change has exactly one of {listed(CHANGES)}")
        try:
            edition = CHANGES[kinds[0]](Change(item, kinds[0], amendment, sources), edition)
        except UnreadableRules as error:
            if error.file:
                raise
            # What the base itself has is at fault; its nodes know their place only in the text at hand.
            raise refused(edited_at(edition.lines, Place("", error.line, error.column)), error.detail) from None
    return replace(edition, root=read_lines(edition.lines))


def _with_header(edition: Edition, amendment: EditionFile) -> Edition:
    """The edition with the `pack` section of the amendment."""
    header = amendment.lines[_section(amendment, "pack")]
    return edition.with_lines(edition.entry_span(edition.root, "pack", ()), header)


def _lenient(file: EditionFile) -> slice:
    """The lines of its reasons for leniency; none where it has none."""
    return _section(file, *LENIENT) if LENIENT[0] in file.root.keys else slice(0, 0)


def _section(file: EditionFile, name: str) -> slice:
    """The lines of a section of the file."""
    keys = file.root.keys
    line = keys[name].place.line
    follower = min((key.place.line for key in keys.values() if key.place.line > line), default=len(file.lines) + 1)
    return span(file.lines, line, follower)

"""The reasons that an edition has for being more lenient than the pack that it follows: its own, and those of the places of its family."""

import re

from bondwright.members import replace
from bondwright.shelf.drafts.splicing import lines_at
from bondwright.shelf.edition import Edition, EditionFile, Part
from bondwright.shelf.lines import Line, indent, moved, read_lines
from bondwright.shelf.reading.nodes import Map, Scalar, refused, shown
from bondwright.shelf.reading.scalars import as_items, as_map, as_scalar

SECTION = "lenient"
"""The section of both."""

_ID = re.compile(r"(?P<name>.+)-r(?P<number>[0-9]+)")
_SINCE = re.compile(r"( *- +since: *)(\S+)(.*)")
_REVISION = re.compile(r"r(?P<number>[0-9]+)")


def reasons_of(edition: Edition) -> Part | None:
    """Them; of a place only those about the step to this revision. None where there are none. Raises: UnreadableRules."""
    brought = [line for place in edition.places for line in _about_this_step(place, _pack_id(edition))]
    if not brought:
        return edition.lenient
    own = edition.lenient.lines if edition.lenient else (Line(f"{SECTION}:", brought[0].place),)
    lines = (*own, *brought)
    return Part(lines, read_lines(lines))


def _about_this_step(place: EditionFile, pack_id: str) -> list[Line]:
    said, found = Edition((place.name,), place.lines, place.root), []
    made = _ID.fullmatch(pack_id)
    for number, item in enumerate(as_items(place.root.entries[SECTION], f"`{SECTION}`")):
        since = as_scalar(as_map(item, "a reason").entries.get("since", item), "`since`")
        step = _REVISION.fullmatch(since.text)
        first, *others = moved(lines := said.lines[lines_at(said, (SECTION, number))], 2 - indent(lines[0].text))
        written = _SINCE.fullmatch(first.text)
        if not step or not written:
            raise refused(since.place, f"{shown(since.text)} is no revision; a reason of a place begins with `- since: r9`")
        if made and int(made["number"]) == int(step["number"]) + 1:
            found += [replace(first, text=f"{written[1]}{made['name']}-{since.text}{written[3]}"), *others]
    return found


def _pack_id(edition: Edition) -> str:
    section = (edition.header.root if edition.header else edition.root).entries["pack"]
    found = section.entries.get("id") if isinstance(section, Map) else None
    return found.text if isinstance(found, Scalar) else ""

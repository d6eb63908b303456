"""The editable files of an edition put together: its own with its amendments made, then those that editions share.

What was read of each file is kept: a draft is not read a second time out of the text that its files make.
"""

from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path

from msgspec import Struct

from bondwright.collecting import nothing_collected
from bondwright.rulebook.facts import Place
from bondwright.shelf.amendments import edition_of, mark
from bondwright.shelf.drafts.reasons import reasons_of
from bondwright.shelf.drafts.shared import place_files, shared_files
from bondwright.shelf.edition import Edition
from bondwright.shelf.lines import Line, bytes_of
from bondwright.shelf.reading.nodes import Items, Map, Node, Scalar, moved
from bondwright.shelf.reading.scalars import as_map

MOST_KEPT = 32
"""Drafts that a process remembers once it has put them together."""


class Draft(Struct, frozen=True, eq=False, dict=True):
    """The published file that the files of an edition would make: its lines, its bytes, and what they hold, with the places in them."""

    name: str
    lines: tuple[Line, ...]
    text: bytes
    root: Map


def consolidated(folder: Path, edition: str) -> Draft:
    """The draft; `edition` is such as `bs7671/2018-a4`. The same files give the same object. Raises: UnreadableRules."""
    with nothing_collected():
        made = edition_of(folder, edition, shared_files(folder, edition), place_files(folder, edition))
        return _consolidated(_Same(made), f"draft of {edition}.yaml")


class _Same(Struct, frozen=True, eq=False, dict=True):
    """An edition; equal to itself alone."""

    edition: Edition

    def __hash__(self) -> int:
        return id(self.edition)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self.edition is other.edition


@lru_cache(maxsize=MOST_KEPT)
def _consolidated(same: _Same, name: str) -> Draft:
    edition = same.edition
    ids = {rule.keys["id"].place.line: rule for rule in edition.rule_list()}
    out, by = [mark(*edition.files)], {}
    head = edition.entry_span(edition.root, "pack", ()) if edition.header else slice(-1, -1)
    header_behind = 0
    for number, line in enumerate(edition.lines, start=1):
        by[number] = len(out) + 1 - number
        if edition.header and number == head.start + 1:
            header_behind = len(out)
            out += edition.header.lines
        elif not head.start < number <= head.stop:
            out.append(line)
        if number in ids:
            margin = " " * (ids[number].keys["id"].place.column - 1)
            out.append(Line(f'{margin}from: "{line.place.file}:{line.place.line}"', line.place, None))
    entries = {key: _placed(key, edition, by, name) for key in edition.root.entries}
    keys = {key: moved(scalar, by[scalar.place.line], name) for key, scalar in edition.root.keys.items()}
    parts = [(edition.header, header_behind)] if edition.header else []
    if lenient := reasons_of(edition):
        out.append(mark(edition.files[-1]))
        parts.append((lenient, len(out)))
        out += lenient.lines
    for part, behind in parts:
        root = moved(part.root, behind, name)
        entries, keys = {**entries, **root.entries}, {**keys, **root.keys}
    lines = tuple(out)
    return Draft(name, lines, bytes_of(lines), Map(entries, keys, min((key.place for key in keys.values()), key=lambda place: place.line)))


def _placed(section: str, edition: Edition, by: Mapping[int, int], name: str) -> Node:
    """A section of the edition with its places in the draft, and where each rule stands below its id."""
    node = edition.root.entries[section]
    if section != "rules":
        return moved(node, by[node.place.line], name)
    rules = [_with_origin(rule, by[rule.place.line], name, edition.at(rule.keys["id"])) for rule in edition.rule_list()]
    return Items([*rules], Place(name, node.place.line + by[node.place.line], node.place.column))


def _with_origin(rule: Map, by: int, name: str, origin: Place) -> Map:
    """The rule with the line below that of its id."""
    below = moved(rule, by + 1, name)
    identifier, place = moved(rule.keys["id"], by, name), moved(rule.keys["id"], by + 1, name).place
    value = Scalar(f"{origin.file}:{origin.line}", True, Place(name, place.line, place.column + len("from: ")))
    first = {"id": moved(as_map(rule, "a rule").entries["id"], by, name), "from": value}
    entries = first | {key: node for key, node in below.entries.items() if key != "id"}
    return Map(entries, {"id": identifier, "from": Scalar("from", False, place)} | {**below.keys, "id": identifier}, identifier.place)

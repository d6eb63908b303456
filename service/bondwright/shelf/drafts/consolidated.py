"""The editable files of an edition put together: its own with its amendments made, then those that editions share.

What was read of each file is kept: a draft is not read a second time out of the text that its files make.
"""

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from bondwright.rulebook.facts import Place
from bondwright.shelf.amendments import edition_of, mark
from bondwright.shelf.drafts.shared import shared_files
from bondwright.shelf.edition import Edition, Part
from bondwright.shelf.lines import Line, bytes_of
from bondwright.shelf.reading.nodes import Items, Map, Node, Scalar, replaced
from bondwright.shelf.reading.scalars import as_items, as_map

MOST_KEPT = 32
"""Drafts that a process remembers once it has put them together."""


@dataclass(frozen=True, eq=False)
class Draft:
    """The published file that the files of an edition would make: its lines, its bytes, and what they hold, with the places in them."""

    name: str
    lines: tuple[Line, ...]
    text: bytes
    root: Map


def consolidated(folder: Path, edition: str) -> Draft:
    """The draft; `edition` is such as `bs7671/2018-a4`. The same files give the same object. Raises: UnreadableRules."""
    return _consolidated(_Same(edition_of(folder, edition, shared_files(folder, edition))), f"draft of {edition}.yaml")


@dataclass(frozen=True, eq=False)
class _Same:
    """An edition; equal to itself alone."""

    edition: Edition

    def __hash__(self) -> int:
        return id(self.edition)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self.edition is other.edition


@lru_cache(maxsize=MOST_KEPT)
def _consolidated(same: _Same, name: str) -> Draft:
    edition = same.edition
    ids = {rule.keys["id"].place.line: rule.keys["id"].place.column for rule in edition.rule_list()}
    out, numbers = [mark(*edition.files)], [0]
    head = edition.entry_span(edition.root, "pack", ()) if edition.header else slice(-1, -1)
    for number, line in enumerate(edition.lines, start=1):
        if edition.header and number == head.start + 1:
            header = _at(edition.header, len(out), name)
            out += edition.header.lines
        elif not head.start < number <= head.stop:
            out.append(line)
        numbers.append(len(out))
        if number in ids:
            out.append(Line(f'{" " * (ids[number] - 1)}from: "{line.place.file}:{line.place.line}"', line.place, None))
    entries = {key: _placed(key, node, numbers, name, edition) for key, node in edition.root.entries.items()}
    keys = {key: _scalar(scalar, numbers, name) for key, scalar in edition.root.keys.items()}
    if edition.header:
        entries, keys = {**entries, **header.entries}, {**keys, **header.keys}
    if edition.lenient:
        out.append(mark(edition.files[-1]))
        reasons = _at(edition.lenient, len(out), name)
        entries, keys = {**entries, **reasons.entries}, {**keys, **reasons.keys}
        out += edition.lenient.lines
    lines = tuple(out)
    return Draft(name, lines, bytes_of(lines), Map(entries, keys, min((key.place for key in keys.values()), key=lambda place: place.line)))


def _at(part: Part, before: int, name: str) -> Map:
    """What the part holds, behind `before` lines of the draft."""
    return replaced(part.root, lambda place: Place(name, place.line + before, place.column))


def _placed(section: str, node: Node, numbers: list[int], name: str, edition: Edition) -> Node:
    """A section of the edition with its places in the draft, and where each rule stands below its id."""
    found = replaced(node, lambda place: Place(name, numbers[place.line], place.column))
    if section != "rules":
        return found
    rules = zip(edition.rule_list(), as_items(found, "`rules`"), strict=True)
    return Items([_with_origin(as_map(rule, "a rule"), edition.at(before.keys["id"])) for before, rule in rules], found.place)


def _with_origin(rule: Map, origin: Place) -> Map:
    place = rule.keys["id"].place
    key = Scalar("from", False, Place(place.file, place.line + 1, place.column))
    value = Scalar(f"{origin.file}:{origin.line}", True, Place(place.file, place.line + 1, place.column + len("from: ")))
    first = {"id": rule.entries["id"], "from": value}
    return Map(first | rule.entries, {"id": rule.keys["id"], "from": key} | rule.keys, rule.place)


def _scalar(scalar: Scalar, numbers: list[int], name: str) -> Scalar:
    return replaced(scalar, lambda place: Place(name, numbers[place.line], place.column))

"""The file of a base read again after a change: only what the change touches is read, and the rest is as it was read before."""

from collections.abc import Sequence
from functools import lru_cache

from msgspec import Struct

from bondwright.errors import UnreadableRules
from bondwright.rulebook.facts import Place
from bondwright.shelf.drafts.rereading import reread
from bondwright.shelf.drafts.short_examples import written_out
from bondwright.shelf.edition import EditionFile
from bondwright.shelf.lines import Line, edited_at, lines_of, read_lines
from bondwright.shelf.reading.nodes import Map, checked, refused

_MOST_KEPT = 16
"""Files of which a process remembers what it read last."""


class _Read(Struct, frozen=True):
    """A file as it is on disk, and with its examples written out."""

    short: EditionFile
    whole: EditionFile


def read_again(name: str, data: bytes) -> EditionFile:
    """The file with every example whole; its nodes have their places in its lines. Raises: UnreadableRules."""
    checked(data, name)
    last, lines = _last(), lines_of(data, name)
    before = last.get(name)
    short = EditionFile(name, lines, _root(lines, before.short if before else None))
    try:
        whole = written_out(short)
    except UnreadableRules as error:
        raise refused(edited_at(lines, Place("", error.line, error.column)), error.detail) from None
    read = _Read(short, EditionFile(name, whole, _root(whole, before.whole if before else None)))
    if len(last) >= _MOST_KEPT:
        last.clear()
    last[name] = read
    return read.whole


@lru_cache(maxsize=1)
def _last() -> dict[str, _Read]:
    """What was read last of each file, by its name; nothing that is read depends on it, only how soon."""
    return {}


def _root(lines: Sequence[Line], before: EditionFile | None) -> Map:
    if before is None:
        return read_lines(lines)
    old, new = [line.text for line in before.lines], [line.text for line in lines]
    start = next((number for number, (one, other) in enumerate(zip(old, new, strict=False)) if one != other), min(len(old), len(new)))
    most = min(len(old), len(new)) - start
    same = next((number for number in range(most) if old[-1 - number] != new[-1 - number]), most)
    return before.root if old == new else reread(lines, before.root, slice(start, len(old) - same), len(new) - len(old))

"""Lines of an edition read again after some of them were changed: what the change touches is read, what stands behind it is moved.

Reading a whole edition takes 0.06 s, and the chain of amendments changes it some thirty times (2026-11-29).
"""

from bisect import bisect_right
from collections.abc import Iterable, Sequence

from bondwright.errors import UnreadableRules
from bondwright.shelf.lines import Line, bytes_of, read_lines
from bondwright.shelf.reading.nodes import Items, Map, Node, moved, read_nodes

Edit = tuple[slice, Sequence[Line]]
"""Lines, and those that take their place."""


def reread(lines: Sequence[Line], before: Map, where: slice, by: int) -> Map:
    """The map that `lines` hold: that of `read_lines`, and its refusals.

    `before`: what they held until the lines `where` were replaced, which made them `by` lines more.
    """
    return _reread(lines, before, where, by) or read_lines(lines)


def edited(lines: Sequence[Line], before: Map, edits: Iterable[Edit]) -> tuple[tuple[Line, ...], Map]:
    """Lines after several edits, and the map that they hold, as `reread` after each; what stands behind is moved once.

    `before`: what the lines hold. `edits`: the last first, each by the lines as they are. Raises: UnreadableRules.
    """
    now, sections = list(lines), _Sections(before, len(lines))
    for where, new in edits:
        now[where] = new
        sections.read_after(now, where, len(new) - (where.stop - where.start))
    return tuple(now), sections.moved() or read_lines(now)


def _reread(lines: Sequence[Line], before: Map, where: slice, by: int) -> Map | None:
    """The same; nothing where the change touches more than one section, or what it touches cannot be read alone."""
    sections = _Sections(before, len(lines) - by)
    sections.read_after(lines, where, by)
    return sections.moved()


class _Sections:
    """The sections of an edition while lines of it are edited, the last first: each where it stood until those before it are moved."""

    def __init__(self, before: Map, lines: int) -> None:
        self._names = list(before.keys)
        self._starts = [*(key.place.line - 1 for key in before.keys.values()), lines]
        self._entries, self._keys = dict(before.entries), dict(before.keys)
        self._more = dict.fromkeys(self._names, 0)
        self._read = True

    def read_after(self, lines: Sequence[Line], where: slice, by: int) -> None:
        """Read what the edit touched; `lines`: after the edit."""
        number = _holds(self._starts[:-1], where)
        end = self._starts[number + 1] + self._more[self._names[number]]
        self._read = self._read and number >= 0 and where.stop <= end
        if not self._read:
            return
        name, start = self._names[number], self._starts[number]
        self._more[name] += by
        held = self._entries[name]
        section = _part_read(lines, name, held, where, end, by)
        if section is not None:
            self._entries[name] = section
        elif (read := _alone(lines[start : end + by], start, name)) is not None:
            self._entries[name], self._keys[name] = read.entries[name], read.keys[name]
        else:
            self._read = False

    def moved(self) -> Map | None:
        """All of them, moved by the edits before each; nothing where an edit could not be read alone."""
        if not self._read:
            return None
        entries, keys, by = {}, {}, 0
        for name in self._names:
            entries[name], keys[name] = moved(self._entries[name], by), moved(self._keys[name], by)
            by += self._more[name]
        return Map(entries, keys, keys[self._names[0]].place)


def _part_read(lines: Sequence[Line], name: str, held: Node, where: slice, end: int, by: int) -> Node | None:
    """A section of which only the touched items or entries were read; nothing where they do not each begin on a line of their own."""
    match held:
        case Items(items=[_, *_] as items):
            starts, opens = [item.place.line - 1 for item in items], "- "
        case Map(keys=keys) if keys:
            starts, opens = [key.place.line - 1 for key in keys.values()], ""
        case _:
            return None
    first = max(_holds(starts, slice(where.start, where.start)), 0)
    behind = next((number for number, start in enumerate(starts) if start >= max(where.stop, starts[first] + 1)), len(starts))
    stop = starts[behind] if behind < len(starts) else end
    if where.start <= starts[0] or not _own_lines(held, starts) or not lines[starts[first]].text.lstrip().startswith(opens):
        return None
    read = _alone([Line(f"{name}:", held.place, None), *lines[starts[first] : stop + by]], starts[first] - 1, name)
    section = read.entries[name] if read else None
    if isinstance(held, Items) and isinstance(section, Items):
        place = held.place if first else section.place
        return Items([*held.items[:first], *section.items, *(moved(item, by) for item in held.items[behind:])], place)
    return _joined(held, section, first, behind, by) if isinstance(held, Map) and isinstance(section, Map) else None


def _joined(held: Map, read: Map, first: int, behind: int, by: int) -> Map | None:
    """The map with what was read in the place of its entries from `first` up to `behind`; nothing where a key would stand twice."""
    names = list(held.keys)
    before, after = names[:first], names[behind:]
    if not read.keys.keys().isdisjoint((*before, *after)):
        return None
    entries = {key: held.entries[key] for key in before} | read.entries | {key: moved(held.entries[key], by) for key in after}
    keys = {key: held.keys[key] for key in before} | read.keys | {key: moved(held.keys[key], by) for key in after}
    return Map(entries, keys, held.place if first else read.place)


def _own_lines(held: Items | Map, starts: Sequence[int]) -> bool:
    """Whether the entries of a map each begin a line, all as far in; those of a list are looked at by themselves."""
    if isinstance(held, Items):
        return True
    columns = {key.place.column for key in held.keys.values()}
    return len(columns) == 1 and len({*starts}) == len(starts) and 1 not in columns


def _holds(starts: Sequence[int], where: slice) -> int:
    """Which of the things that start on these lines holds the lines `where`; what is inserted stands at the end of the thing before."""
    return bisect_right(starts, where.start if where.stop > where.start else where.start - 1) - 1


def _alone(lines: Sequence[Line], first: int, name: str) -> Map | None:
    """The section called `name`, read alone at its place; nothing where these lines are not just that section."""
    try:
        read = read_nodes(b"\n" * first + bytes_of(lines), "")
    except UnreadableRules:
        return None
    return read if list(read.keys) == [name] else None

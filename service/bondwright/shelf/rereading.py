"""Lines of an edition read again after some of them were changed: what the change touches is read, what stands behind it is moved.

Reading a whole edition takes 0.06 s, and the chain of amendments changes it some thirty times (2026-11-29).
"""

from bisect import bisect_right
from collections.abc import Sequence

from bondwright.errors import UnreadableRules
from bondwright.shelf.lines import Line, bytes_of, read_lines
from bondwright.shelf.reading.nodes import Items, Map, Node, Same, moved, moved_again, read_nodes


def reread(lines: Sequence[Line], before: Map, where: slice, by: int) -> Map:
    """The map that `lines` hold: that of `read_lines`, and its refusals.

    `before`: what they held until the lines `where` were replaced, which made them `by` lines more.
    """
    return _reread(lines, before, where, by) or read_lines(lines)


def _reread(lines: Sequence[Line], before: Map, where: slice, by: int) -> Map | None:
    """The same; nothing where the change touches more than one section, or what it touches cannot be read alone."""
    names = list(before.keys)
    starts = [key.place.line - 1 for key in before.keys.values()]
    number = _holds(starts, where)
    end = starts[number + 1] if number + 1 < len(starts) else len(lines) - by
    if number < 0 or where.stop > end:
        return None
    name = names[number]
    held = before.entries[name]
    section: Node | None = _items(lines, name, held, where, end, by) if isinstance(held, Items) and held.items else None
    key = before.keys[name]
    if section is None:
        read = _alone(lines[starts[number] : end + by], starts[number], name)
        if read is None:
            return None
        section, key = read.entries[name], read.keys[name]
    behind = names[number + 1 :]
    entries = {**before.entries, name: section, **{other: _moved(before.entries[other], by) for other in behind}}
    keys = {**before.keys, name: key, **{other: moved(before.keys[other], by) for other in behind}}
    return Map(entries, keys, keys[names[0]].place)


def _items(lines: Sequence[Line], name: str, held: Items, where: slice, end: int, by: int) -> Items | None:
    """The list of a section of which only the touched items were read; nothing where they do not each begin on a line of their own."""
    starts = [item.place.line - 1 for item in held.items]
    first = max(_holds(starts, slice(where.start, where.start)), 0)
    behind = next((number for number, start in enumerate(starts) if start >= max(where.stop, starts[first] + 1)), len(starts))
    stop = starts[behind] if behind < len(starts) else end
    if where.start <= starts[0] or not lines[starts[first]].text.lstrip().startswith("- "):
        return None
    read = _alone([Line(f"{name}:", held.place, None), *lines[starts[first] : stop + by]], starts[first] - 1, name)
    section = read.entries[name] if read else None
    if not isinstance(section, Items):
        return None
    place = held.place if first else section.place
    return Items([*held.items[:first], *section.items, *(_moved(item, by) for item in held.items[behind:])], place)


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


def _moved(node: Node, by: int) -> Node:
    return moved_again(Same(node), by) if by else node

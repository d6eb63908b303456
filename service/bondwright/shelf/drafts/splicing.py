"""Single entries of an edition put in, written anew and taken out, as few of its lines as can be.

A path leads from the sections down, by key in maps and by number in lists. Where an entry has lines of its own these alone are written;
where it stands in brackets, the line that holds it is.
"""

from collections.abc import Iterator, Sequence
from typing import TypeAlias

from bondwright.rulebook.facts import Place
from bondwright.shelf.edition import Edition
from bondwright.shelf.lines import Line, flow, plain, span
from bondwright.shelf.reading.nodes import Items, Map, Node, Scalar, refused

Path: TypeAlias = tuple[str | int, ...]
"""Keys and numbers from the root down."""


def node_at(root: Node, path: Path) -> Node:
    """What stands at the path, which must lead somewhere."""
    for step in path:
        root = root.entries[str(step)] if isinstance(root, Map) else _items(root)[int(step)]
    return root


def rewritten(edition: Edition, path: Path, now: Node, place: Place) -> Edition:
    """The edition with `now` at the path, where something stands already; `place`: where it is edited, if `now` does not say."""
    held = node_at(edition.root, path)
    if plain(held) == plain(now) and _order(held) == _order(now):
        return edition
    if isinstance(held, Map) and isinstance(now, Map) and now.entries and own_lines(edition, path) and _keeps_order(held, now):
        for key in [key for key in held.entries if key not in now.entries]:
            edition = taken(edition, (*path, key), place)
        for key, entry in now.entries.items():
            known = key in held.entries
            edition = rewritten(edition, (*path, key), entry, place) if known else put(edition, path, key, entry, place)
        return edition
    return _written(edition, path, now, place)


def put(edition: Edition, path: Path, key: str, now: Node, place: Place, after: str | None = None) -> Edition:
    """The edition with a new entry in the map at the path: behind the entry `after`, else as the last one."""
    held = node_at(edition.root, path)
    assert isinstance(held, Map)
    if held.entries and own_lines(edition, path):
        last = after or list(held.entries)[-1]
        where = lines_at(edition, (*path, last))
        line = Line(f"{' ' * (held.keys[last].place.column - 1)}{key}: {flow(now)}", _edited(now, place), None)
        return edition.with_lines(slice(where.stop, where.stop), [line])
    names = list(held.entries)
    names.insert(names.index(after) + 1 if after else len(names), key)
    entries = {name: now if name == key else held.entries[name] for name in names}
    return _written(edition, path, Map(entries, {}, held.place), _edited(now, place))


def put_item(edition: Edition, path: Path, number: int, now: Node, place: Place) -> Edition:
    """The edition with a new item in the list at the path, as the one of that number from 0."""
    items = _items(node_at(edition.root, path))
    if items and own_lines(edition, path):
        where = lines_at(edition, (*path, number)).start if number < len(items) else lines_at(edition, (*path, number - 1)).stop
        beside = edition.lines[lines_at(edition, (*path, min(number, len(items) - 1))).start].text
        line = Line(f"{' ' * (len(beside) - len(beside.lstrip(' ')))}- {flow(now)}", _edited(now, place), None)
        return edition.with_lines(slice(where, where), [line])
    return _written(edition, path, Items([*items[:number], now, *items[number:]], place), _edited(now, place))


def taken(edition: Edition, path: Path, place: Place) -> Edition:
    """The edition without what stands at the path."""
    holder = node_at(edition.root, path[:-1])
    several = len(holder.entries if isinstance(holder, Map) else _items(holder)) > 1
    if several and own_lines(edition, path[:-1]) and "- " not in before(edition, path).strip(" ") + " ":
        return edition.with_lines(lines_at(edition, path), [])
    if several and isinstance(holder, Items) and own_lines(edition, path[:-1]):
        return edition.with_lines(lines_at(edition, path), [])
    left: Node
    if isinstance(holder, Map):
        left = Map({key: node for key, node in holder.entries.items() if key != path[-1]}, {}, holder.place)
    else:
        left = Items([item for number, item in enumerate(_items(holder)) if number != path[-1]], holder.place)
    return _written(edition, path[:-1], left, place)


def _written(edition: Edition, path: Path, now: Node, place: Place) -> Edition:
    """The edition with what stands at the path written on one line, with all that shares its lines."""
    place = _edited(now, place)
    while not own_lines(edition, path[:-1]):
        now = _beside(node_at(edition.root, path[:-1]), path[-1], now)
        path = path[:-1]
    line = Line(f"{before(edition, path)}{_name(path[-1])}{flow(now)}", place, None)
    return edition.with_lines(lines_at(edition, path), [line])


def _beside(holder: Node, step: str | int, now: Node) -> Node:
    if isinstance(holder, Map):
        return Map({key: now if key == step else node for key, node in holder.entries.items()}, {}, holder.place)
    return Items([now if number == step else item for number, item in enumerate(_items(holder))], holder.place)


def own_lines(edition: Edition, path: Path) -> bool:
    """Whether what stands at the path has its entries on lines of their own, as all that it stands in."""
    return all(not isinstance(node, Scalar) and not _bracketed(edition, node) for node in _down(edition.root, path))


def _down(root: Node, path: Path) -> Iterator[Node]:
    yield root
    for number in range(len(path)):
        yield node_at(root, path[: number + 1])


def _bracketed(edition: Edition, node: Node) -> bool:
    text = edition.lines[node.place.line - 1].text
    return text[node.place.column - 1 : node.place.column] in ("{", "[")


def _start(edition: Edition, path: Path) -> Place:
    """Where the entry at the path begins: its key, or what stands behind the dash."""
    holder = node_at(edition.root, path[:-1])
    return holder.keys[str(path[-1])].place if isinstance(holder, Map) else _items(holder)[int(path[-1])].place


def before(edition: Edition, path: Path) -> str:
    """What stands before the entry on its first line: spaces, and dashes of the lists that it begins an item of."""
    place = _start(edition, path)
    before = edition.lines[place.line - 1].text[: place.column - 1]
    if before.strip(" -"):
        raise refused(place, "write this entry on a line of its own, so that it can be changed")
    return before


def lines_at(edition: Edition, path: Path) -> slice:
    """The lines of the entry at the path, which has lines of its own."""
    line = _start(edition, path).line
    behind = [start for depth in range(1, len(path) + 1) for start in _starts(edition, path[: depth - 1]) if start > line]
    return span(edition.lines, line, min(behind, default=len(edition.lines) + 1))


def _starts(edition: Edition, path: Path) -> Sequence[int]:
    holder = node_at(edition.root, path)
    if isinstance(holder, Map):
        return [key.place.line for key in holder.keys.values()]
    return [item.place.line for item in _items(holder)]


def _items(node: Node) -> list[Node]:
    assert isinstance(node, Items)
    return node.items


def _name(step: str | int) -> str:
    return f"{step}: " if isinstance(step, str) else ""


def _edited(node: Node, place: Place) -> Place:
    return node.place if node.place.file else place


def _order(node: Node) -> list[str]:
    return list(node.entries) if isinstance(node, Map) else []


def _keeps_order(held: Map, now: Map) -> bool:
    """Do the entries of both follow each other alike, those that are new behind them?"""
    kept = [key for key in held.entries if key in now.entries]
    return list(now.entries)[: len(kept)] == kept

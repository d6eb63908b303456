"""A family's own file of those that editions share, where it states only what differs: entries of its own, and those that it goes without.

    differs_from: materials.yaml
    properties:
      room_kinds:
        sauna: {governed_by: "IEC 60364-7-703"}      # the other columns are those of the shared file
    without:
      properties/item_kinds: [charging_point]

Maps are laid over each other, however deep; lists and single values take the place of those that are there. A new entry stands behind
the one that is stated before it, else last.

The file of a place is laid over an edition in the same way, only that what it lists comes to what is there: rows of which the first that
fits decides stand before the others, all else behind them.
"""

from collections.abc import Iterator, Mapping

from msgspec import Struct

from bondwright.rulebook.facts import Place
from bondwright.shelf.drafts.splicing import Path, before, lines_at, node_at, own_lines
from bondwright.shelf.edition import Edition, EditionFile
from bondwright.shelf.lines import Line, flow, indent, moved, plain, read_lines
from bondwright.shelf.reading.nodes import Items, Map, Node, Scalar, refused, shown
from bondwright.shelf.reading.scalars import as_items, as_map, one_of, texts

DIFFERS = "differs_from"
"""The key under which such a file names the shared one."""
WITHOUT = "without"
"""The key under which it names what it goes without, by where that stands."""

_FIRST_FITTING = ("joined", "joined_rooms")
"""Lists of which the first row that fits decides."""


def laid_over(base: EditionFile, own: EditionFile) -> EditionFile:
    """The file that `own` makes of `base`: its lines, each where it is edited, and its sections. Raises: UnreadableRules."""
    lines = list(base.lines)
    for where, new in _edits(Edition((base.name,), base.lines, base.root), own, joins=False):
        lines[where] = new
    return EditionFile(own.name, tuple(lines), read_lines(lines))


def joined_to(edition: Edition, own: EditionFile) -> Edition:
    """The edition with what `own`, the file of a place, says besides. Raises: UnreadableRules."""
    return edition.with_edits(_edits(edition, own, joins=True))


def _edits(whole: Edition, own: EditionFile, joins: bool) -> list[tuple[slice, list[Line]]]:
    """The lines that others take the place of, the last first."""
    gone = _without(own.root, whole.root)
    edits = _Edits(whole, Edition((own.name,), own.lines, own.root), gone, joins)
    return sorted(edits.within((), _with_ways(own.root, gone)), key=lambda edit: (edit[0].start, edit[0].stop), reverse=True)


class _Edits(Struct, frozen=True):
    """The lines of the shared file that others take the place of; `said`: the family's own file, `gone`: what it goes without.

    `joins`: what is listed comes to what is there.
    """

    whole: Edition
    said: Edition
    gone: Mapping[Path, frozenset[str]]
    joins: bool

    def within(self, path: Path, own: Map) -> Iterator[tuple[slice, list[Line]]]:
        """Those of the map at the path, which has its entries on lines of their own."""
        held = as_map(node_at(self.whole.root, path), "a section")
        for key in self.gone.get(path, ()):
            yield lines_at(self.whole, (*path, key)), []
        column, last = next(iter(held.keys.values())).place.column, list(held.entries)[-1]
        new: dict[str, list[Line]] = {}
        for key, node in own.entries.items():
            here = (*path, key)
            if key not in held.entries:
                new.setdefault(last, []).extend(self._brought(here, node, " " * (column - 1), own=True))
                continue
            last = key
            if isinstance(node, Map) and isinstance(held.entries[key], Map) and own_lines(self.whole, here):
                yield from self.within(here, node)
            elif self.joins and isinstance(node, Items) and isinstance(held.entries[key], Items) and own_lines(self.whole, here):
                yield self._listed(here)
            else:
                merged = _merged(held.entries[key], node, here, self.gone, self.joins)
                yield lines_at(self.whole, here), self._brought(here, merged, before(self.whole, here), own=merged is node)
        for last, lines in new.items():
            end = lines_at(self.whole, (*path, last)).stop
            yield slice(end, end), lines

    def _listed(self, path: Path) -> tuple[slice, list[Line]]:
        """The items of a list of the file, beside those that are there."""
        held = node_at(self.whole.root, path)
        assert isinstance(held, Items)
        first = path[-1] in _FIRST_FITTING
        beside = lines_at(self.whole, (*path, 0 if first else len(held.items) - 1))
        where = beside.start if first else beside.stop
        own = lines_at(self.said, (*path, 0))
        lines = self.said.lines[lines_at(self.said, path)][1:]
        by = indent(self.whole.lines[beside.start].text) - indent(self.said.lines[own.start].text)
        return slice(where, where), list(moved(lines, by))

    def _brought(self, path: Path, node: Node, indent: str, own: bool) -> list[Line]:
        """The lines of an entry: as the family's own file has them, where it says the whole, else one line."""
        key = f"{indent}{path[-1]}: "
        if not own or isinstance(node, Scalar) or not own_lines(self.said, path):
            return [Line(f"{key}{flow(node)}", node.place, None)]
        lines = self.said.lines[lines_at(self.said, path)]
        return list(moved(lines, len(indent) - (len(lines[0].text) - len(lines[0].text.lstrip(" ")))))


def _merged(held: Node, own: Node, path: Path, gone: Mapping[Path, frozenset[str]], joins: bool) -> Node:
    if joins and isinstance(held, Items) and isinstance(own, Items):
        return Items([*held.items, *own.items], own.place)
    if not (isinstance(held, Map) and isinstance(own, Map)):
        if plain(held) == plain(own):
            raise refused(own.place, f"{shown(str(path[-1]))} says here what the shared file says; leave it out")
        return own
    left = {key: node for key, node in held.entries.items() if key not in gone.get(path, ())}
    for key, node in own.entries.items():
        left[key] = _merged(left[key], node, (*path, key), gone, joins) if key in left else node
    return Map(left, {}, own.place)


def _with_ways(own: Map, gone: Mapping[Path, frozenset[str]]) -> Map:
    """The sections of the family's file, with the ways to what it goes without."""
    sections = Map({key: node for key, node in own.entries.items() if key not in (DIFFERS, WITHOUT)}, own.keys, own.place)
    for path in gone:
        sections = _with_way(sections, path, as_map(own.entries[WITHOUT], f"`{WITHOUT}`").keys["/".join(map(str, path))].place)
    return sections


def _with_way(own: Map, path: Path, place: Place) -> Map:
    if not path:
        return own
    inner = own.entries.get(str(path[0]), Map({}, {}, place))
    return Map(own.entries | {str(path[0]): _with_way(inner, path[1:], place)}, own.keys, own.place) if isinstance(inner, Map) else own


def _without(own: Map, base: Map) -> Mapping[Path, frozenset[str]]:
    """What the file goes without, by the path of the map in which it stands."""
    if WITHOUT not in own.entries:
        return {}
    found: dict[Path, frozenset[str]] = {}
    section = as_map(own.entries[WITHOUT], f"`{WITHOUT}`")
    for words, names in section.entries.items():
        held: Node = base
        for step in words.split("/"):
            if not isinstance(held, Map) or step not in held.entries:
                raise refused(section.keys[words].place, f"{shown(words)} leads nowhere in the shared file")
            held = held.entries[step]
        for name in as_items(names, f"what is under {shown(words)}"):
            one_of(name, as_map(held, shown(words)).entries, f"entry of {shown(words)} in the shared file")
        found[tuple(words.split("/"))] = frozenset(texts(names, "a name"))
    return found

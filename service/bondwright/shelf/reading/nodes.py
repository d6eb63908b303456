"""The strict YAML subset: one document as maps, lists and scalars, each with its text as written and its place.

The words of refusals are ours, because the parser in C and the one in Python word theirs differently.
"""

import re
import unicodedata
from collections.abc import Iterator
from typing import Any, NamedTuple, NoReturn, TypeAlias, TypeVar, cast

import yaml

from bondwright.errors import UnreadableRules
from bondwright.rulebook.facts import Place

LARGEST_FILE = 2_000_000
"""Bytes that a rule file may have."""
DEEPEST = 20
"""Maps and lists that may stand inside each other."""

_new_tuple = tuple.__new__  # half of what naming each member takes, for what a pack has 50,000 of
_FOREIGN_LETTERS = frozenset("Ωρδθπφ")  # symbols of the trade; every other letter beyond Latin may pass for a Latin one
LOADER: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
"""In C: ten times faster on a 200 kB pack."""


class Scalar(NamedTuple):
    """One value or key: its text, and whether it was written in quotes or as a block."""

    text: str
    quoted: bool
    place: Place


class Items:
    """A list, in the order written; what is in a moved one is moved when it is asked for."""

    __match_args__ = ("items", "place")
    __slots__ = ("_held", "place")

    def __init__(self, items: "list[Node]", place: Place, by: int = 0, file: str | None = None) -> None:
        """`by`, `file`: how `items` are still to be moved; `place` is that after it."""
        self._held, self.place = (items, by, file), place

    @property
    def items(self) -> "list[Node]":
        """What is in it."""
        items, by, file = self._held
        if by or file is not None:
            items = [moved(item, by, file) for item in items]
            self._held = (items, 0, None)
        return items

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Items) and (self.items, self.place) == (other.items, other.place)

    __hash__ = None  # type: ignore[assignment]

    def moved(self, by: int, file: str | None) -> "Items":
        """The list `by` lines further down, in another file where one is named."""
        items, before, old = self._held
        return Items(items, _moved_place(self.place, by, file), before + by, old if file is None else file)


class Map:
    """A map in the order written; `keys` has the key itself for each name in `entries`. As `Items`, moved when it is asked for."""

    __match_args__ = ("entries", "keys", "place")
    __slots__ = ("_held", "place")

    def __init__(self, entries: "dict[str, Node]", keys: dict[str, Scalar], place: Place, by: int = 0, file: str | None = None) -> None:
        """`by`, `file`: how `entries` and `keys` are still to be moved; `place` is that after it."""
        self._held, self.place = (entries, keys, by, file), place

    @property
    def entries(self) -> "dict[str, Node]":
        """What stands in it, by key."""
        return self._reached()[0]

    @property
    def keys(self) -> dict[str, Scalar]:
        """The keys themselves."""
        return self._reached()[1]

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Map) and (self.entries, self.keys, self.place) == (other.entries, other.keys, other.place)

    __hash__ = None  # type: ignore[assignment]

    def moved(self, by: int, file: str | None) -> "Map":
        """The map `by` lines further down, in another file where one is named."""
        entries, keys, before, old = self._held
        return Map(entries, keys, _moved_place(self.place, by, file), before + by, old if file is None else file)

    def _reached(self) -> "tuple[dict[str, Node], dict[str, Scalar], int, str | None]":
        entries, keys, by, file = self._held
        if by or file is not None:
            inside = {name: moved(entry, by, file) for name, entry in entries.items()}
            self._held = (inside, {name: moved(key, by, file) for name, key in keys.items()}, 0, None)
        return self._held


Node: TypeAlias = Scalar | Items | Map

Moved = TypeVar("Moved", bound=Node)


def moved(node: Moved, by: int, file: str | None = None) -> Moved:
    """The node `by` lines further down, in another file where one is named."""
    if not by and file is None:
        return node
    made = _new_tuple(Scalar, (node[0], node[1], _moved_place(node[2], by, file))) if isinstance(node, Scalar) else node.moved(by, file)
    return cast(Moved, made)


def _moved_place(place: Place, by: int, file: str | None) -> Place:
    return _new_tuple(Place, (place[0] if file is None else file, place[1] + by, place[2]))


def refused(place: Place, detail: str) -> UnreadableRules:
    """The error to raise for what stands at `place`."""
    return UnreadableRules(place.file, place.line, place.column, detail)


def shown(text: str) -> str:
    """`text` in backticks on one line, cut where it is long."""
    flat = " ".join(text.split())
    return f"`{flat if len(flat) <= 60 else flat[:59] + '…'}`"


def read_nodes(data: bytes, file: str) -> Map:
    """The one map that a rule file holds; `file` is its name in places. Raises: UnreadableRules."""
    root = _Tree(file, checked(data, file)).root()
    if not isinstance(root, Map):
        raise UnreadableRules(file, 1, 1, "a rule file is a map of sections, such as `rules:`")
    return root


def checked(data: bytes, file: str) -> str:
    """The text of a rule file, which has only the characters that may stand in one. Raises: UnreadableRules."""
    text = _decoded(data, file)
    _check_characters(text, file)
    return text


def _decoded(data: bytes, file: str) -> str:
    if len(data) > LARGEST_FILE:
        raise UnreadableRules(file, 1, 1, f"the file has {len(data)} bytes; at most {LARGEST_FILE} are read")
    if data.startswith(b"\xef\xbb\xbf"):
        raise UnreadableRules(file, 1, 1, "the file starts with a byte-order mark; save it as UTF-8 without one")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8")
        line, column = _line_and_column(before, len(before))
        raise UnreadableRules(file, line, column, "this is not UTF-8; save the file as UTF-8") from None


def _line_and_column(text: str, index: int) -> tuple[int, int]:
    return text.count("\n", 0, index) + 1, index - text.rfind("\n", 0, index)


def _check_characters(text: str, file: str) -> None:
    faulty = {character: fault for character in set(text) if (fault := _fault(character))}
    if faulty:
        index = min(text.index(character) for character in faulty)
        raise UnreadableRules(file, *_line_and_column(text, index), faulty[text[index]])
    if directive := re.search(r"^%", text, re.MULTILINE):
        raise UnreadableRules(file, *_line_and_column(text, directive.start()), "directives (`%`) are not used in rule files")


def _fault(character: str) -> str:
    """What is wrong with a character that may not stand in a rule file; empty when nothing is."""
    if character == "\n" or " " <= character <= "~":
        return ""
    if character == "\t":
        return "a tab stands here; use spaces"
    if character == "\r":
        return "a carriage return stands here; save the file with line ends of one line feed (LF)"
    code, category = f"U+{ord(character):04X}", unicodedata.category(character)
    if category.startswith("C") or category in ("Zl", "Zp"):
        return f"the invisible character {code} stands here; delete it"
    if category == "Zs":
        return f"the unusual space {code} stands here; use an ordinary space"
    foreign = category.startswith("L") and character >= "\u0180" and character not in _FOREIGN_LETTERS
    if foreign or category.startswith("M") or category == "Nd" or "\uff00" <= character <= "\uffef":
        return f"the character {code} can pass for another; type the plain letter or digit"
    return ""


_NOTHING = frozenset(("~", "null", "Null", "NULL"))
_SCALAR, _MAP, _LIST = yaml.ScalarEvent, yaml.MappingStartEvent, yaml.SequenceStartEvent
_ENDS = frozenset((yaml.MappingEndEvent, yaml.SequenceEndEvent))


class _Open(NamedTuple):
    """A map or list whose end is still to come; of a map `items` is None, and `key` the one that waits for its value."""

    entries: dict[str, Node]
    keys: dict[str, Scalar]
    items: list[Node] | None
    key: Scalar | None


class _Tree:
    """Builds the nodes of one document from the parser's events."""

    def __init__(self, file: str, text: str) -> None:
        self._file, self._text, self._characters = file, text, set(text) if "\\" in text else None

    def root(self) -> Node:
        """The one node that all others are in. What a pack has 40,000 of is done here, without a call for each part of it."""
        root, outer = None, list[_Open]()
        entries, keys, items, key = _Open({}, {}, [], None)
        for event in self._events():
            kind = event.__class__
            if kind is _SCALAR:
                node: Node = self._scalar(event, key)
            elif kind is _MAP or kind is _LIST:
                inner = _Open({}, {}, [] if kind is _LIST else None, None)
                place = self._plain(event)
                node = Map(inner.entries, inner.keys, place) if inner.items is None else Items(inner.items, place)
            elif kind in _ENDS:
                entries, keys, items, key = outer.pop()
                continue
            else:
                self._demand_plain(event, root)
                continue
            if items is not None:
                items.append(node)
            elif key is not None:
                entries[key.text], key = node, None
            else:
                key = self._key(node, keys)
            root = root or node
            if kind is not _SCALAR:
                if len(outer) == DEEPEST:
                    raise refused(node.place, f"lists and maps are nested deeper than {DEEPEST}")
                outer.append(_Open(entries, keys, items, key))
                entries, keys, items, key = inner
        if root is None:
            raise UnreadableRules(self._file, 1, 1, "the file is empty")
        return root

    def _events(self) -> Iterator[Any]:
        try:
            yield from iter(LOADER(self._text).get_event, None)
        except yaml.YAMLError as error:
            mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
            line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
            detail = "the text cannot be read from here on; look for a missing quote, bracket, colon or space, or a wrong indent"
            raise UnreadableRules(self._file, line, column, detail) from None

    def _demand_plain(self, event: Any, root: Node | None) -> None:
        if event.__class__ is yaml.AliasEvent:
            self._refuse(event, f"aliases (`*{event.anchor}`) are not used in rule files; write the value out")
        if event.__class__ is yaml.DocumentStartEvent and (root is not None or event.explicit):
            self._refuse(event, "a rule file is one document; leave out `---` and `...`")

    def _plain(self, event: Any) -> Place:
        """The place of a value, a list or a map that has neither anchor nor tag."""
        if event.anchor:
            self._refuse(event, f"anchors (`&{event.anchor}`) are not used in rule files")
        if event.tag:
            self._refuse(event, f"tags ({shown(event.tag)}) are not used in rule files")
        mark = event.start_mark
        return _new_tuple(Place, (self._file, mark.line + 1, mark.column + 1))

    def _scalar(self, event: Any, key: Scalar | None) -> Scalar:
        """A key or a value; `key`: whose value it is."""
        if event.anchor or event.tag:
            self._plain(event)
        text, quoted, mark = event.value, bool(event.style), event.start_mark
        place = _new_tuple(Place, (self._file, mark.line + 1, mark.column + 1))
        if not text or text.isspace() or (not quoted and text in _NOTHING):
            name = f"{shown(key.text)} has no value" if key else "a value is missing here"
            raise refused(
                key.place if key else place, f"{name}; write one (`unknown` where nothing is known; a decimal takes a dot, no comma)"
            )
        if self._characters is not None and not self._characters.issuperset(text):  # a character that the text does not have came from one
            raise refused(place, "escapes (`\\`) that stand for other characters are not used in rule files; type the character itself")
        return _new_tuple(Scalar, (text, quoted, place))

    def _key(self, node: Node, keys: dict[str, Scalar]) -> Scalar:
        """The node as the next key of a map that has these."""
        if not isinstance(node, Scalar):
            raise refused(node.place, "a key is one word of text, not a list or a map")
        if node.text == "<<":
            raise refused(node.place, "merge keys (`<<`) are not used in rule files; write the keys out")
        if node.text in keys:
            first = keys[node.text].place
            raise refused(node.place, f"key {shown(node.text)} stands twice in one map; first at line {first.line}")
        keys[node.text] = node
        return node

    def _refuse(self, event: Any, detail: str) -> NoReturn:
        mark = event.start_mark
        raise refused(Place(self._file, mark.line + 1, mark.column + 1), detail)

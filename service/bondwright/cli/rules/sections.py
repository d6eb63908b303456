"""What a pack says in sections that it keeps the meaning of alone: series, roles, places, forms of clauses, where facts come from."""

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import zip_longest
from typing import Any, TypeAlias

from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.lines import plain, read_section
from bondwright.shelf.reading.nodes import Items, Map, Node
from bondwright.shelf.words.reading import as_said

Difference: TypeAlias = tuple[str, str, str, str, str]
"""Kind and name of what differs, the field of it, and what that was and is; all of it where the field is empty."""

NAMED: Mapping[str, str] = {
    "series": "series",
    "role": "roles",
    "place": "places",
    "place not judged": "places_not_judged",
    "clause forms": "clauses",
}
"""Sections of such things by what they are called."""
LISTS: Mapping[str, str] = {"stages": "stages", "joints": "joined", "cautions": "cautions", "joined_rooms": "joined_rooms"}
"""Lists without names, by what a difference calls them."""
OTHERS: Mapping[str, str] = {
    "value": "values",
    "table": "tables",
    "reference table": "references",
    "fact": "facts",
    "question": "asks",
    "outcome": "outcomes",
    "advice": "advice",
    "reading": "readings",
    "property": "properties",
    "source": "sources",
    "sentence": "sentences",
    "sentence of calculations": "calculations",
    **NAMED,
}
"""All sections of things with names."""
ROWS = "joined_rooms"
"""The list of acts of places."""
COMES_FROM = ("told", "in", "from")
"""Keys of a fact that say where it comes from."""
_MOST_KEPT = 8
"""Texts of packs that are remembered as they are read."""


def differences(old: RulePack, new: RulePack) -> Iterator[Difference]:
    """Where two packs differ in them."""
    yield from _of_fields("pack", "header", *({"beside": said(pack, "pack").get("beside")} for pack in (old, new)))
    facts = [{name: _comes_from(fact) for name, fact in said(pack, "facts").items()} for pack in (old, new)]
    for name in facts[1]:
        if name in facts[0]:
            yield from _of_fields("fact", name, facts[0][name], facts[1][name])
    for kind, section in NAMED.items():
        was, now = said(old, section), said(new, section)
        yield from ((kind, name, "", name, "") for name in was if name not in now)
        for name, entry in now.items():
            if name not in was:
                yield kind, name, "", "", name
            elif isinstance(entry, list) and isinstance(was[name], list):
                yield from _of_rows(kind, name, was[name], entry)
            else:
                yield from _of_fields(kind, name, was[name], entry)
    yield from _of_rows("list of", ROWS, *(said(pack, ROWS) or [] for pack in (old, new)))


@lru_cache(maxsize=_MOST_KEPT)
def _text(text: bytes) -> bytes:
    return "\n".join((*as_said(text), "")).encode()


def said(pack: RulePack, section: str) -> Any:
    """What a section of the pack says, its texts in their places; an empty map where the pack has no such section."""
    return plain(_node(pack, section))


def _node(pack: RulePack, section: str) -> Node:
    text, file = _text(pack.text), pack.rules[0].place.file if pack.rules else pack.pack_id
    return read_section(text, file, section) if f"\n{section}:".encode() in text else Map({}, {}, Place(file, 1, 1))


def placed(pack: RulePack, name: str) -> tuple[str, Place] | None:
    """What kind of thing has the name in the pack, or that it is a list, and where it stands; nothing where none has it."""
    if f"{name}:".encode() not in _text(pack.text):
        return None
    for kind, section in OTHERS.items():
        node = _node(pack, section)
        if isinstance(node, Map) and name in node.keys:
            return kind, node.keys[name].place
    for section in LISTS.values():
        node = _node(pack, section)
        if section == name and isinstance(node, Items):
            lines = _text(pack.text).decode().splitlines()
            line = next(number for number, one in enumerate(lines, start=1) if one.startswith(f"{section}:"))
            return "list of", Place(node.place.file, line, 1)
    return None


def names(pack: RulePack) -> frozenset[str]:
    """The name of everything in the pack but its rules, and what differences call its lists."""
    named = (name for section in OTHERS.values() for name in said(pack, section))
    return frozenset((*named, *(name for name, section in LISTS.items() if said(pack, section))))


def leaves(value: Any, at: Sequence[str] = ()) -> Iterator[tuple[str, str]]:
    """What stands in it, by the way to it: names of members, and numbers in a list from 1."""
    if isinstance(value, dict):
        for name, member in value.items():
            yield from leaves(member, (*at, name))
    elif isinstance(value, list) and not all(isinstance(one, str) for one in value):
        for number, member in enumerate(value, start=1):
            yield from leaves(member, (*at, str(number)))
    elif value is not None:
        yield " ".join(at), ", ".join(value) if isinstance(value, list) else str(value)


def _comes_from(fact: Any) -> Mapping[str, Any]:
    return {key: fact[key] for key in COMES_FROM if key in fact}


def _of_fields(kind: str, name: str, was: Any, now: Any) -> Iterator[Difference]:
    before, after = dict(leaves(was)), dict(leaves(now))
    for at in dict.fromkeys((*before, *after)):
        if before.get(at) != after.get(at):
            yield kind, name, at or "says", before.get(at, ""), after.get(at, "")


def _of_rows(kind: str, name: str, was: Sequence[Any], now: Sequence[Any]) -> Iterator[Difference]:
    olds, news = ([_row(row) for row in rows] for rows in (was, now))
    gone, added = [one for one in olds if one not in news], [one for one in news if one not in olds]
    for before, after in zip_longest(gone, added, fillvalue=""):
        yield kind, name, "entry", before, after
    if not gone + added and olds != news:
        yield kind, name, "order", "as before", "other"


def _row(row: Any) -> str:
    return ", ".join(f"{at} {said}".strip() for at, said in leaves(row))

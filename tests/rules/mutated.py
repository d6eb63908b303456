"""One thing changed in what a pack holds: a row, value, column, act, question, fact or rule left out, renamed, or written otherwise."""

import random
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeVar

from bondwright.shelf.reading.nodes import Items, Map, Node, Scalar

_Held = TypeVar("_Held", bound=Node)
_WORDS = ("yes", "no", "unknown", "none", "0", "1000000", "0 ohm", "10 mm2", "x", "water", "copper", "far_end", "{part}")
_LEAST = ("pack", "lenient", "cases", "sources", "clauses")
"""Sections of which evaluating reads little."""


@dataclass(frozen=True, slots=True)
class Mutant:
    """A changed pack, and in words what is changed in it."""

    root: Map
    said: str


def mutant(root: Map, rng: random.Random) -> Mutant:
    """The pack with one drawn change."""
    section = rng.choice([name for name in root.entries if name not in _LEAST])
    path: list[str | int] = [section]
    node = root.entries[section]
    while not isinstance(node, Scalar) and (len(path) < 2 or rng.random() < 0.75):
        key = _drawn(node, rng)
        if key is None:
            break
        path.append(key)
        node = _child(node, key)
    said = "/".join(map(str, path))
    match rng.randrange(4):
        case 0:
            return Mutant(_changed(root, path, None), f"without {said}")
        case 1 if not isinstance(path[-1], int):
            return Mutant(_renamed(root, path, f"{path[-1]}_2"), f"renamed {said}")
        case 2:
            other = rng.choice(list(_alike(root.entries[section], path[-1])) or [node])
            return Mutant(_changed(root, path, other), f"another's value at {said}")
        case _:
            word = rng.choice(_WORDS) if not isinstance(node, Scalar) else rng.choice((*_WORDS, *_scaled(node.text)))
            return Mutant(_changed(root, path, Scalar(word, True, node.place)), f"{word!r} at {said}")


def _scaled(text: str) -> tuple[str, ...]:
    number, space, unit = text.partition(" ")
    try:
        return tuple(f"{float(number) * factor:.12g}{space}{unit}" for factor in (0, 0.001, 0.5, 2, 1000))
    except ValueError:
        return ()


def _drawn(node: Node, rng: random.Random) -> str | int | None:
    if isinstance(node, Map):
        return rng.choice(list(node.entries)) if node.entries else None
    return rng.randrange(len(node.items)) if isinstance(node, Items) and node.items else None


def _child(node: Node, key: str | int) -> Node:
    if isinstance(key, int):
        assert isinstance(node, Items)
        return node.items[key]
    assert isinstance(node, Map)
    return node.entries[key]


def _alike(node: Node, key: str | int) -> Iterator[Node]:
    """What stands under the same key anywhere in the section."""
    if isinstance(node, Map):
        for name, entry in node.entries.items():
            if name == key:
                yield entry
            yield from _alike(entry, key)
    elif isinstance(node, Items):
        for place, item in enumerate(node.items):
            if place == key:
                yield item
            yield from _alike(item, key)


def _changed(root: Map, path: list[str | int], now: Node | None) -> Map:
    changed = _with(root, path, now)
    assert isinstance(changed, Map)
    return changed


def _with(node: Node, path: list[str | int], now: Node | None) -> Node:
    key, *rest = path
    child = _with(_child(node, key), rest, now) if rest else now
    if isinstance(node, Items):
        assert isinstance(key, int)
        items = [*node.items[:key], *([] if child is None else [child]), *node.items[key + 1 :]]
        return Items(items, node.place)
    assert isinstance(node, Map) and isinstance(key, str)
    if child is None:
        return Map(_without(node.entries, key), _without(node.keys, key), node.place)
    return Map({**node.entries, key: child}, node.keys, node.place)


def _without(entries: dict[str, _Held], key: str) -> dict[str, _Held]:
    return {name: entry for name, entry in entries.items() if name != key}


def _renamed(root: Map, path: list[str | int], name: str) -> Map:
    *above, last = path
    owner: Node = root
    for key in above:
        owner = _child(owner, key)
    assert isinstance(owner, Map)
    keys = {(name if key == last else key): (Scalar(name, False, held.place) if key == last else held) for key, held in owner.keys.items()}
    entries = {(name if key == last else key): entry for key, entry in owner.entries.items()}
    renamed = Map(entries, keys, owner.place)
    return _changed(root, above, renamed) if above else renamed

"""Short examples of rules written out: a line that states only what is otherwise than in another example.

Each rule's examples follow one that is written whole, with `given`, or `like` the first example of a rule above. A line states the facts
that are otherwise; `unknown` takes one away. What it leaves unsaid of the expectation is as in the example that it is like. Published
packs hold every example whole.
"""

from collections.abc import Iterator, Mapping

from msgspec import Struct

from bondwright.rulebook.facts import UNKNOWN, Place
from bondwright.shelf.edition import EditionFile
from bondwright.shelf.lines import Line, flow, plain
from bondwright.shelf.reading.nodes import Items, Map, Node, Scalar, refused, shown
from bondwright.shelf.reading.scalars import suggestion

_OWN = ("given", "expect", "like")
_FIELDS = ("worst_case", "lowest_possible", "lowest", "highest", "provisional", "firm")
"""What may be expected of one outcome, where more is said of it than its worst case."""


class _Whole(Struct, frozen=True):
    """An example written whole."""

    given: Map
    expect: Map


def written_out(file: EditionFile) -> tuple[Line, ...]:
    """The lines of the file with every example whole, each on the line on which it is written. Raises: UnreadableRules."""
    lines = list(file.lines)
    for item, whole in _written_out(file.root):
        number = item.place.line - 1
        lines[number] = Line(f"{lines[number].text[: item.place.column - 1]}{whole}", item.place._replace(file=file.name), None)
        for line in sorted({place.line for place in _places(item)} - {item.place.line}):
            lines[line - 1] = Line("", Place(file.name, line, 1))
    return tuple(lines)


def _written_out(root: Map) -> Iterator[tuple[Node, str]]:
    """Each short example, with the words of the whole one."""
    firsts: dict[str, _Whole] = {}
    for rule in _rules(root):
        base: _Whole | None = None
        for number, item in enumerate(_examples(rule)):
            if not isinstance(item, Map):
                continue
            base, whole = _whole(item, base, firsts)
            if whole:
                yield item, f"{{given: {flow(whole.given)}, expect: {flow(whole.expect)}}}"
            if number == 0 and base and isinstance(rule.entries.get("id"), Scalar):
                firsts[str(plain(rule.entries["id"]))] = base


def _rules(root: Map) -> Iterator[Map]:
    """The rules that a base or an amendment states, in the order written."""
    for item in _list(root.entries.get("rules")):
        if isinstance(item, Map):
            yield item
    for change in _list(root.entries.get("changes")):
        for brought in ("add", "with"):
            for item in _list(change.entries.get(brought)) if isinstance(change, Map) else ():
                if isinstance(item, Map):
                    yield item


def _examples(rule: Map) -> list[Node]:
    return _list(rule.entries.get("examples"))


def _list(node: Node | None) -> list[Node]:
    return node.items if isinstance(node, Items) else []


def _whole(item: Map, base: _Whole | None, firsts: Mapping[str, _Whole]) -> tuple[_Whole | None, _Whole | None]:
    """The example that those below it may be like, and the item written whole; neither where it cannot be told."""
    if "given" in item.entries and "expect" in item.entries:
        held = [item.entries[key] for key in ("given", "expect")]
        return (_Whole(*held), None) if isinstance(held[0], Map) and isinstance(held[1], Map) else (None, None)  # type: ignore[arg-type]
    if "given" in item.entries:
        raise refused(item.place, "an example with `given` states what it expects; write `expect` too")
    like = _liked(item, base, firsts)
    whole = _Whole(_given(item, like.given), _expect(item, like.expect))
    return whole if "like" in item.entries else base, whole


def _liked(item: Map, base: _Whole | None, firsts: Mapping[str, _Whole]) -> _Whole:
    if "like" in item.entries:
        name = str(plain(item.entries["like"]))
        if name not in firsts:
            raise refused(item.entries["like"].place, f"no rule above is called {shown(name)} and has an example{suggestion(name, firsts)}")
        return firsts[name]
    if base is None:
        raise refused(item.place, "the first example of a rule is written whole, with `given` and `expect`, or is `like` a rule above")
    return base


def _given(item: Map, base: Map) -> Map:
    """The facts of the base, with those of the item; a new one stands behind, or in the place of, the one stated before it."""
    names, entries, at = list(base.entries), dict(base.entries), len(base.entries) - 1
    for name, node in item.entries.items():
        if name in _OWN:
            continue
        if isinstance(node, Scalar) and node.text == UNKNOWN:
            if name not in entries:
                raise refused(item.keys[name].place, f"{shown(name)} is not given in the example that this one is like; leave it out")
            at = names.index(name) - 1
            names.remove(name)
            del entries[name]
            continue
        if name not in entries:
            names.insert(at + 1, name)
        entries[name], at = node, names.index(name)
    return Map({name: entries[name] for name in names}, {}, item.place)


def _expect(item: Map, base: Map) -> Map:
    if "expect" not in item.entries:
        return base
    said = item.entries["expect"]
    if isinstance(said, Map) and not (said.entries and said.entries.keys() <= set(_FIELDS)):
        return said
    if len(base.entries) != 1:
        raise refused(said.place, "name the outcome, as in `expect: {main_bonding: required}`; the other example has not just one")
    ((name, held),) = base.entries.items()
    if isinstance(said, Map) and _FIELDS[0] not in said.entries:
        before: dict[str, Node] = held.entries if isinstance(held, Map) else {_FIELDS[0]: held}
        said = Map(before | said.entries, {}, said.place)
    return Map({name: said}, {}, item.place)


def _places(node: Node) -> Iterator[Place]:
    """Where it and all that is in it stands."""
    yield node.place
    if isinstance(node, Items):
        for item in node.items:
            yield from _places(item)
    elif isinstance(node, Map):
        for key, entry in node.entries.items():
            yield node.keys[key].place
            yield from _places(entry)

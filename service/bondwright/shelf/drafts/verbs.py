"""The three changes that fit whatever an edition holds: `add`, `change` and `take_away`, each of what it names."""

from collections.abc import Callable, Iterable, Mapping

from bondwright.shelf.changes import CHANGES as OF_THEIR_OWN
from bondwright.shelf.changes import Change, check_no_better, expect
from bondwright.shelf.drafts.cells import set_cell
from bondwright.shelf.drafts.named import SECTIONS, Named, known, named, row_keys
from bondwright.shelf.drafts.splicing import node_at, put, put_item, rewritten, taken
from bondwright.shelf.edition import Edition
from bondwright.shelf.lines import flow, plain
from bondwright.shelf.reading.nodes import Items, Map, Node, refused, shown
from bondwright.shelf.reading.scalars import as_items, as_map, fields, number

_CITED = ("clause", "source")
_LAST = "above"
_RESTING = {"value": "value", "table": "rows"}
"""The entry of a thing that rests on its clause and source, by the word for the thing."""


def _add(change: Change, edition: Edition) -> Edition:
    if isinstance(as_map(change.node, "a change").entries["add"], Items):
        return OF_THEIR_OWN["add"](change, edition)
    for one in named(_what(change), edition):
        edition = _adder(one)(change, one, edition)
    return edition


def _change(change: Change, edition: Edition) -> Edition:
    for one in named(_what(change), edition):
        edition = _changed(change, one, edition)
    return edition


def _take_away(change: Change, edition: Edition) -> Edition:
    for one in named(_what(change), edition):
        edition = _without(change, one, edition)
    return edition


def _what(change: Change) -> Node:
    return as_map(change.node, "a change").entries[change.kind]


def _adder(one: Named) -> Callable[[Change, Named, Edition], Edition]:
    if one.kind == "rule":
        raise refused(one.node.place, "a rule is added as a block: `- add:` and below it a list that starts with `- id: …`")
    own = {"condition": _add_tests, "example": _add_example, "row": _add_row}
    return own.get(one.kind, _add_entry)


def _add_entry(change: Change, one: Named, edition: Edition) -> Edition:
    entries = change.fields("with", optional=("after",))
    if one.there:
        place = edition.at(node_at(edition.root, one.path))
        raise refused(one.node.place, f"{one.words()} stands already at {place.file}:{place.line}; `change` it")
    after = plain(entries["after"]) if "after" in entries else None
    if one.path[0] not in edition.root.entries:
        first = Map({str(one.path[-1]): entries["with"]}, {}, entries["with"].place)
        return put(edition, (), str(one.path[0]), first, one.node.place)
    held = as_map(node_at(edition.root, one.path[:-1]), "a section")
    if after is not None and after not in held.entries:
        raise refused(entries["after"].place, f"nothing is called {shown(str(after))} there")
    return put(edition, one.path[:-1], str(one.path[-1]), entries["with"], one.node.place, None if after is None else str(after))


def _add_tests(change: Change, one: Named, edition: Edition) -> Edition:
    when = as_map(known(one, edition), "`when`")
    for name, test in as_map(change.fields("with")["with"], "`with`").entries.items():
        if name in when.entries:
            raise refused(test.place, f"{one.words()} tests `{name}` already; `change` it")
        edition = put(edition, one.path, name, test, one.node.place)
    return edition


def _add_example(change: Change, one: Named, edition: Edition) -> Edition:
    example = change.fields("with")["with"]
    if one.there:
        return put_item(edition, one.path, len(as_items(node_at(edition.root, one.path), "`examples`")), example, one.node.place)
    return put(edition, one.path[:-1], str(one.path[-1]), Items([example], example.place), one.node.place)


def _add_row(change: Change, one: Named, edition: Edition) -> Edition:
    if one.of_list:
        entries = change.fields("with", optional=("before",))
        if not one.there:
            return put(edition, (), str(one.path[0]), Items([entries["with"]], entries["with"].place), one.node.place)
        rows = as_items(node_at(edition.root, one.path), "rows")
        at = _row_that_says(entries["before"], one, edition) if "before" in entries else len(rows)
        return put_item(edition, one.path, at, entries["with"], one.node.place)
    if one.path[0] == SECTIONS["property"]:
        return _add_entry(change, one, edition)
    entries = change.fields("with", *_cited(one))
    if one.there:
        raise refused(one.node.place, f"{one.words()} stands already; `change` it")
    rows = as_items(node_at(edition.root, one.path[:-1]), "`rows`")
    at = len(rows)
    if _cited(one):
        limit = _limit(one.node)
        at = sum(1 for row in rows if _limit(as_items(row, "a row")[0]) < limit)
    edition = put_item(edition, one.path[:-1], at, _whole_row(one, entries["with"]), one.node.place)
    return _resting(change, one, entries, edition)


def _changed(change: Change, one: Named, edition: Edition) -> Edition:
    entries = change.fields("was", "now", *_cited(one))
    was, now = entries["was"], entries["now"]
    if one.kind == "example" or one.of_list:
        at = _row_that_says(was, one, edition)
        found, path = node_at(edition.root, (*one.path, at)), (*one.path, at)
        new = _laid_over(found, now) if one.kind == "example" else now
    elif one.kind == "row" and one.path[0] != SECTIONS["property"]:
        found, path = known(one, edition), one.path
        expect(was, _rest(one, found, edition, was), one.words() + " has", edition)
        new = _whole_row(one, now, _rest(one, found, edition, None))
    else:
        found, path = known(one, edition), one.path
        new = merged(found, was, now, one, edition, _checked_cited(one, was, now))
    if plain(found) == plain(new) and flow(found) == flow(new):
        raise refused(now.place, "`now` says the same as the base; the change changes nothing")
    return _resting(change, one, entries, rewritten(edition, path, new, now.place))


def _laid_over(example: Node, now: Node) -> Node:
    """The example with what `now` says of it; what it expects may stay unsaid."""
    held = as_map(example, "an example").entries
    return Map(held | as_map(now, "`now`").entries, {}, now.place)


def _without(change: Change, one: Named, edition: Edition) -> Edition:
    entries = change.fields("was", *_cited(one))
    if one.kind == "rule":
        raise refused(one.node.place, "a rule is taken away by `withdraw: …`, with clause and source")
    if one.kind == "example" or one.of_list:
        at = _row_that_says(entries["was"], one, edition)
        return taken(edition, (*one.path, at), one.node.place)
    found = known(one, edition)
    if one.kind == "condition":
        tests = as_map(entries["was"], "`was`")
        merged(found, tests, Map({}, {}, tests.place), one, edition)
        for name in tests.entries:
            edition = taken(edition, (*one.path, name), one.node.place)
        return edition
    if one.kind == "row" and one.path[0] != SECTIONS["property"]:
        expect(entries["was"], _rest(one, found, edition, entries["was"]), one.words() + " has", edition)
    else:
        _subset(entries["was"], found, one, edition)
    return _resting(change, one, entries, taken(edition, one.path, one.node.place), less=True)


def merged(base: Node, was: Node, now: Node, one: Named, edition: Edition, cited: Iterable[str] = ()) -> Node:
    """What `base` becomes: a map keeps what neither names, loses what only `was` names, and gains what `now` names.

    `cited`: keys that `now` may name alone. Raises: UnreadableRules, where `base` has something else than `was`, or has what `now` brings.
    """
    if not (isinstance(base, Map) and isinstance(was, Map) and isinstance(now, Map)):
        expect(was, base, f"{one.words()} says", edition)
        return now
    for key in was.entries:
        if key not in base.entries:
            raise refused(was.keys[key].place, f"the base has moved: {one.words()} has no `{key}` at {_at(base, edition)}")
    for key in now.entries:
        if key in base.entries and key not in (*was.entries, *cited) and plain(base.entries[key]) != plain(now.entries[key]):
            detail = f"{one.words()} has `{key}` {shown(flow(base.entries[key]))} at {_at(base, edition)}; state it under `was`"
            raise refused(now.keys[key].place, detail)
    entries = {}
    for key, held in base.entries.items():
        if key not in was.entries:
            entries[key] = now.entries.get(key, held)
        elif key in now.entries:
            entries[key] = merged(held, was.entries[key], now.entries[key], one, edition)
        else:
            expect(was.entries[key], held, f"`{key}` of {one.words()} is", edition)
    new = {key: node for key, node in now.entries.items() if key not in base.entries}
    whole = set(was.entries) == set(base.entries)
    return Map({key: (entries | new)[key] for key in now.entries} if whole else entries | new, {}, now.place)


def _subset(was: Node, base: Node, one: Named, edition: Edition) -> None:
    """Refuses a `was` of which the base says anything else, or that says nothing."""
    if isinstance(was, Map) and not was.entries:
        raise refused(was.place, f"say what {one.words()} is now, at least in part")
    if isinstance(was, Map) and isinstance(base, Map):
        for key, said in was.entries.items():
            if key not in base.entries:
                raise refused(was.keys[key].place, f"the base has moved: {one.words()} has no `{key}` at {_at(base, edition)}")
            _subset(said, base.entries[key], one, edition)
    else:
        expect(was, base, f"{one.words()} says", edition)


def _row_that_says(was: Node, one: Named, edition: Edition) -> int:
    """The number of the item that says just that."""
    rows = as_items(node_at(edition.root, one.path), "a list") if one.there else []
    for number_of, row in enumerate(rows):
        if plain(row) == plain(was):
            return number_of
    raise refused(was.place, f"the base has moved: no {one.words()} says {shown(flow(was))}; it has {len(rows)}")


def _rest(one: Named, row: Node, edition: Edition, beside: Node | None) -> Node:
    """What the row says behind its keys; the number alone where `beside` is one too."""
    kind = "reference" if one.path[0] == SECTIONS["reference"] else "table"
    items = as_items(row, "a row")[row_keys(as_map(node_at(edition.root, one.path[:2]), "a table"), kind) :]
    return items[0] if kind == "table" or (beside is not None and not isinstance(beside, Items)) else Items(items, row.place)


def _whole_row(one: Named, rest: Node, held: Node | None = None) -> Node:
    keys = one.node.items if isinstance(one.node, Items) else [one.node]
    said = rest.items if isinstance(rest, Items) else [rest]
    kept = held.items[len(said) :] if isinstance(held, Items) else []
    return Items([*keys, *said, *kept], rest.place)


def _limit(node: Node) -> float:
    return float("inf") if plain(node) == _LAST else number(node, "a limit")


def _cited(one: Named) -> tuple[str, ...]:
    """What a change of a row of sizes states besides: it becomes that of the whole table."""
    return _CITED if one.kind == "row" and one.path[0] == SECTIONS["table"] else ()


def _resting(change: Change, one: Named, entries: Mapping[str, Node], edition: Edition, less: bool = False) -> Edition:
    """The edition with the table of a row resting on what the change states."""
    if not _cited(one):
        return edition
    change.check_cited(entries, edition)
    table = fields(node_at(edition.root, one.path[:2]), "a table", _CITED, None)
    if not less:
        check_no_better(entries["source"], table["source"])
    for key in _CITED:
        edition = rewritten(edition, (*one.path[:2], key), entries[key], entries[key].place)
    return edition


def _checked_cited(one: Named, was: Node, now: Node) -> tuple[str, ...]:
    """The keys of what a changed number rests on, which `now` states; none for another change. Refuses what never changes."""
    if one.kind == "rule":
        for node in (was, now):
            for key in ("id", "from"):
                if key in as_map(node, "`was` and `now` of a rule").entries:
                    raise refused(as_map(node, "it").keys[key].place, f"`{key}` of a rule never changes")
    resting = _RESTING.get(one.kind)
    if not resting or resting not in as_map(now, "`now`").entries:
        return ()
    for key in _CITED:
        if key not in as_map(now, "`now`").entries:
            raise refused(now.place, f"a {one.kind} rests on its clause and source; state `{key}` under `now` too")
    return _CITED


def _at(node: Node, edition: Edition) -> str:
    place = edition.at(node)
    return f"{place.file}:{place.line}"


VERBS: Mapping[str, Callable[[Change, Edition], Edition]] = {
    **OF_THEIR_OWN,
    "set_cell": set_cell,
    "add": _add,
    "change": _change,
    "take_away": _take_away,
}
"""What makes each kind of change, by the key that names it."""
ENTRIES = (*VERBS, "was", "now", "with", "after", "before", *_CITED)
"""Every key that a change may have."""

"""`set_cell`: one cell of a table of limits, of a reference table or of a property becomes another, with what it rests on."""

from collections.abc import Mapping

from bondwright.shelf.changes import CHANGES, Change, check_no_better, differs, expect
from bondwright.shelf.drafts.named import Named, known, named
from bondwright.shelf.drafts.splicing import node_at, put, rewritten
from bondwright.shelf.edition import Edition
from bondwright.shelf.lines import plain
from bondwright.shelf.reading.nodes import Items, Map, Node, Scalar, refused
from bondwright.shelf.reading.scalars import as_items, as_map, fields, listed, number, suggestion, text

KINDS = {"table": ("up_to",), "reference": ("row",), "property": ("row", "column")}
"""What has cells, and the words that say which."""
BACKED = {"source": "from", "basis": "kind", "confidence": "confidence"}
"""Columns of a property that say on what its row rests, and the keys of a source that they repeat."""

_CITED = ("clause", "source")


def set_cell(change: Change, edition: Edition) -> Edition:
    """The edition with the cell set. Raises: UnreadableRules."""
    own = as_map(change.fields()["set_cell"], "`set_cell`")
    kinds = [kind for kind in KINDS if kind in own.entries]
    if len(kinds) != 1:
        raise refused(own.place, f"a cell is one of a {listed(KINDS)}; name that one")
    if kinds[0] == "table":
        return CHANGES["set_cell"](change, edition)
    entries = change.own(kinds[0], *KINDS[kinds[0]], "was", "now", *_CITED)
    change.check_cited(entries, edition)
    words = (kinds[0], "row")
    (one,) = named(Map({word: entries[word] for word in words}, {word: own.keys[word] for word in words}, own.place), edition)
    row = known(one, edition)
    return _printed(one, row, entries, edition) if kinds[0] == "reference" else _of_property(one, row, entries, edition)


def _printed(one: Named, row: Node, entries: Mapping[str, Node], edition: Edition) -> Edition:
    """A number of a reference table, with the mark of its source: one that says the same, else one of its own."""
    *keys, held, _ = as_items(row, "a row")
    expect(entries["was"], held, f"{one.words()} has", edition)
    differs(entries)
    number(entries["now"], "`now`")
    table, source, place = one.path[:2], entries["source"], entries["now"].place
    marks = as_map(as_map(node_at(edition.root, table), "a table").entries["sources"], "`sources`").entries
    mark = next((name for name, said in marks.items() if plain(said) == plain(source)), None)
    if mark is None:
        mark = _new_mark(source, marks)
        edition = put(edition, (*table, "sources"), mark, source, source.place)
    new = Items([*keys, entries["now"], Scalar(mark, False, source.place)], place)
    edition = rewritten(edition, one.path, new, place)
    return rewritten(edition, (*table, "clause"), entries["clause"], entries["clause"].place)


def _new_mark(source: Node, marks: Mapping[str, Node]) -> str:
    said = {key: text(node, f"`{key}`") for key, node in as_map(source, "`source`").entries.items()}
    name = f"{said['from']}_{said['confidence']}".replace("-", "_")
    names = (name, f"{name}_{said['kind']}", *(f"{name}_{number}" for number in range(2, len(marks) + 3)))
    return next(one for one in names if one not in marks)


def _of_property(one: Named, row: Node, entries: Mapping[str, Node], edition: Edition) -> Edition:
    """A cell of a property; where its row says on what it rests, it rests on what the change states."""
    cells, column = as_map(row, "a row").entries, text(entries["column"], "`column`")
    if column not in cells:
        raise refused(entries["column"].place, f"{one.words()} has no `{column}`{suggestion(column, cells)}")
    expect(entries["was"], cells[column], f"`{column}` of {one.words()} is", edition)
    differs(entries)
    edition = rewritten(edition, (*one.path, column), entries["now"], entries["now"].place)
    if not BACKED.keys() <= cells.keys() or column in BACKED:
        return edition
    source = fields(entries["source"], "`source`", BACKED.values())
    check_no_better(entries["source"], row, "row")
    for cell, key in BACKED.items():
        edition = rewritten(edition, (*one.path, cell), source[key], source[key].place)
    return edition

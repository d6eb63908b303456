"""Reference tables: strict reading, with the place of every mistake."""

from collections.abc import Mapping

from bondwright.rulebook.pack import Source
from bondwright.rulebook.reference import CHOICE, Cell, Key, ReferenceTable
from bondwright.shelf.reading.nodes import Node, Scalar, refused
from bondwright.shelf.reading.scalars import HYPHENED, MEMBER, as_items, as_map, fields, new_name, number, one_of, text
from bondwright.shelf.reading.values import Backing, read_backing


def read_references(node: Node, sources: Mapping[str, Source]) -> dict[str, ReferenceTable]:
    """The reference tables by id, in file order."""
    section = as_map(node, "`references`")
    return {name: _table(section.keys[name], entry, sources) for name, entry in section.entries.items()}


def _table(key: Scalar, node: Node, sources: Mapping[str, Source]) -> ReferenceTable:
    name = new_name(key, "a reference table", HYPHENED)
    entries = fields(node, f"reference table `{name}`", ("title", "clause", "by", "gives", "sources", "rows"))
    by = _columns(entries["by"], "`by`")
    gives = _columns(entries["gives"], "`gives`")
    if len(gives) != 1:
        raise refused(entries["gives"].place, "`gives` names one number with its unit, such as `{operating_current: A}`")
    ((given, unit),) = gives.items()
    return ReferenceTable(
        table_id=name,
        title=text(entries["title"], "`title`"),
        clause=text(entries["clause"], "`clause`"),
        by=by,
        gives=given,
        unit=unit,
        cells=_cells(entries["rows"], by, _marks(entries["sources"], sources)),
        place=key.place,
    )


def _columns(node: Node, what: str) -> dict[str, str]:
    section = as_map(node, what)
    return {new_name(section.keys[name], "a column"): text(unit, "a unit") for name, unit in section.entries.items()}


def _marks(node: Node, sources: Mapping[str, Source]) -> dict[str, Backing]:
    section = as_map(node, "`sources`")
    return {new_name(section.keys[name], "a mark"): read_backing(entry, sources) for name, entry in section.entries.items()}


def _cells(node: Node, by: Mapping[str, str], marks: Mapping[str, Backing]) -> dict[tuple[Key, ...], Cell]:
    found: dict[tuple[Key, ...], Cell] = {}
    for row in as_items(node, "`rows`"):
        parts = as_items(row, "a row")
        if len(parts) != len(by) + 2:
            columns = ", ".join((*by, "number", "mark of its source"))
            raise refused(row.place, f"a row of this table has {len(by) + 2} members: {columns}")
        *keys, value, mark = parts
        key = tuple(_key(one, column, unit) for one, (column, unit) in zip(keys, by.items(), strict=True))
        if key in found:
            first = found[key].place
            raise refused(row.place, f"the row of {', '.join(map(str, key)) or 'this table'} stands already at line {first.line}")
        backing = marks[one_of(mark, marks, "mark of a source")]
        found[key] = Cell(number(value, "a number"), backing.source, backing.kind, backing.confidence, row.place)
    if not found:
        raise refused(node.place, "a reference table has at least one row")
    return found


def _key(node: Node, column: str, unit: str) -> Key:
    return new_name(node, f"a choice of `{column}`", MEMBER) if unit == CHOICE else number(node, f"`{column}`")

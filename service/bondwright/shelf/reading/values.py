"""Named values, series and limits tables, and the backing that each of them and every rule states."""

from collections.abc import Mapping
from itertools import pairwise

from msgspec import Struct

from bondwright.rulebook.facts import FactDefinition
from bondwright.rulebook.pack import Source
from bondwright.rulebook.reference import NamedValue
from bondwright.rulebook.sizing import LimitsTable, Row
from bondwright.shelf.reading.names import Series
from bondwright.shelf.reading.nodes import Node, Scalar, refused
from bondwright.shelf.reading.scalars import (
    HYPHENED,
    any_quantity,
    as_items,
    as_map,
    base_unit,
    fields,
    new_name,
    number,
    one_of,
    text,
)

KINDS = ("stated", "our_reading", "common_practice")
"""How a rule rests on its source."""
CONFIDENCES = ("checked_twice", "checked_once", "secondary", "from_memory")
"""How well its text or value was checked, best first."""


class Backing(Struct, frozen=True):
    """What something rests on: a declared source, how, and how well checked."""

    source: str
    kind: str
    confidence: str


def read_backing(node: Node, sources: Mapping[str, Source]) -> Backing:
    """The `source` of a rule, value or table."""
    entries = fields(node, "`source`", ("from", "kind", "confidence"))
    return Backing(
        source=one_of(entries["from"], sources, "declared source"),
        kind=one_of(entries["kind"], KINDS, "kind of source"),
        confidence=one_of(entries["confidence"], CONFIDENCES, "confidence"),
    )


def read_values(node: Node, sources: Mapping[str, Source], facts: Mapping[str, FactDefinition]) -> dict[str, NamedValue]:
    """The named values, in file order; none has the name of a fact, so that a test's operand means one thing."""
    section = as_map(node, "`values`")
    values = {}
    for name, entry in section.entries.items():
        key = section.keys[name]
        new_name(key, "a value")
        if name in facts:
            raise refused(key.place, f"`{name}` is already the name of a fact")
        entries = fields(entry, f"value `{name}`", ("value", "clause", "source"))
        held, unit = any_quantity(entries["value"], f"value `{name}`")
        backing = read_backing(entries["source"], sources)
        clause = text(entries["clause"], "`clause`")
        values[name] = NamedValue(name, held, unit, clause, backing.source, backing.kind, backing.confidence, key.place)
    return values


def read_series(node: Node) -> dict[str, Series]:
    """The series by name; members rise."""
    section = as_map(node, "`series`")
    found = {}
    for name, entry in section.entries.items():
        entries = fields(entry, f"series `{name}`", ("unit", "members"))
        nodes = as_items(entries["members"], "`members`")
        members = [number(member, "a member of a series") for member in nodes]
        if not members:
            raise refused(entries["members"].place, f"series `{name}` has no members")
        for index in range(1, len(members)):
            if members[index] <= members[index - 1]:
                raise refused(nodes[index].place, f"{members[index]:g} does not rise above {members[index - 1]:g} before it")
        found[new_name(section.keys[name], "a series")] = Series(base_unit(entries["unit"], f"series `{name}`"), tuple(members))
    return found


def read_tables(node: Node, sources: Mapping[str, Source], facts: Mapping[str, FactDefinition]) -> dict[str, LimitsTable]:
    """The limits tables by id, in file order."""
    section = as_map(node, "`tables`")
    return {name: _table(section.keys[name], entry, sources, facts) for name, entry in section.entries.items()}


def _table(key: Scalar, node: Node, sources: Mapping[str, Source], facts: Mapping[str, FactDefinition]) -> LimitsTable:
    name = new_name(key, "a table", HYPHENED)
    entries = fields(node, f"table `{name}`", ("reads", "gives", "clause", "source", "rows"))
    numbers = [fact.name for fact in facts.values() if fact.kind == "number"]
    reads = facts[one_of(entries["reads"], numbers, "number fact")]
    backing = read_backing(entries["source"], sources)
    return LimitsTable(
        table_id=name,
        reads=reads.name,
        unit=reads.unit,
        gives=base_unit(entries["gives"], f"table `{name}`"),
        clause=text(entries["clause"], "`clause`"),
        source=backing.source,
        confidence=backing.confidence,
        rows=_rows(entries["rows"], reads),
        place=key.place,
    )


def _rows(node: Node, reads: FactDefinition) -> tuple[Row, ...]:
    nodes = as_items(node, "`rows`")
    if not nodes:
        raise refused(node.place, "a table has at least one row, the last being `[above, entry]`")
    rows = tuple(_row(item, last=item is nodes[-1]) for item in nodes)
    for before, row in pairwise(rows):
        if before.up_to is not None and row.up_to is not None and row.up_to <= before.up_to:
            raise refused(row.place, f"limit {row.up_to:g} does not rise above {before.up_to:g} in the row before")
        if row.use < before.use:
            raise refused(row.place, f"entry {row.use:g} is smaller than {before.use:g} in the row before; entries never fall")
    for row in rows:
        if row.up_to is not None and not reads.lowest <= row.up_to <= reads.highest:
            raise refused(
                row.place, f"limit {row.up_to:g} is outside the range of `{reads.name}`, {reads.lowest:g} to {reads.highest:g} {reads.unit}"
            )
    return rows


def _row(node: Node, *, last: bool) -> Row:
    cells = as_items(node, "a row")
    if len(cells) != 2:
        raise refused(node.place, "a row has two cells: `[up to and including, entry]`")
    limit, entry = cells
    above = isinstance(limit, Scalar) and limit.text == "above"
    if above and not last:
        raise refused(limit.place, "only the last row is `above`")
    if last and not above:
        raise refused(limit.place, "the last row must be `above`, so that every number has an entry")
    return Row(None if above else number(limit, "a limit"), number(entry, "an entry"), node.place)

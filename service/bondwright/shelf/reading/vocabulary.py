"""Facts, questions, properties and sources."""

from collections.abc import Collection, Mapping
from typing import Literal

from bondwright.installation.terms import THINGS
from bondwright.rulebook.facts import FactDefinition
from bondwright.rulebook.pack import Source
from bondwright.shelf.reading.nodes import Map, Node, Scalar, refused
from bondwright.shelf.reading.scalars import (
    HYPHENED,
    MEMBER,
    as_items,
    as_map,
    base_unit,
    fields,
    new_members,
    new_name,
    one_of,
    quantity,
    row_name,
    some_of,
    text,
    yes_or_no,
)

_KINDS: tuple[Literal["yes_no", "choice", "number"], ...] = ("yes_no", "choice", "number")
_MAY = ("evidence", "worked_from", "told", "in", "from")
"""What a fact of any kind may have; `from` is read with the places."""


def read_facts(node: Node, values: Collection[str]) -> dict[str, FactDefinition]:
    """The declared facts by name, in file order; `values`: names of values and reference tables, which a fact may be worked from."""
    section = as_map(node, "`facts`")
    return {name: _fact(section.keys[name], entry, values) for name, entry in section.entries.items()}


def _fact(key: Scalar, node: Node, values: Collection[str] | None) -> FactDefinition:
    name = row_name(key, "a fact")
    common = ("of", "kind", "meaning", "ask")
    entries = fields(node, f"fact `{name}`", common, (*_MAY, "choices", "unit", "range"))
    kind = one_of(entries["kind"], _KINDS, "kind of fact")
    own = {"yes_no": (), "choice": ("choices",), "number": ("unit", "range")}[kind]
    entries = fields(node, f"{kind} fact `{name}`", (*common, *own), _MAY)
    choices = new_members(as_items(entries["choices"], "`choices`"), "a choice") if kind == "choice" else ()
    unit = base_unit(entries["unit"], f"fact `{name}`") if kind == "number" else ""
    lowest, highest = _range(entries["range"], unit) if kind == "number" else (0.0, 0.0)
    return FactDefinition(
        name=name,
        of=_kinds_of_subject(entries["of"]),
        kind=kind,
        meaning=text(entries["meaning"], "`meaning`"),
        ask=text(entries["ask"], "`ask`"),
        evidence="evidence" in entries and yes_or_no(entries["evidence"], "`evidence`"),
        choices=choices,
        unit=unit,
        lowest=lowest,
        highest=highest,
        worked_from=_worked_from(entries, values),
        told=some_of(entries["told"], THINGS, "thing that facts are told of") if "told" in entries else (),
        only_in=_only_in(entries),
    )


def _only_in(entries: Mapping[str, Node]) -> tuple[str, ...]:
    """The kinds of location in which a fact is told."""
    if "in" not in entries:
        return ()
    if "told" not in entries:
        raise refused(entries["in"].place, "`in` says in which kinds of location a fact is told; add `told`, or leave it out")
    node = entries["in"]
    if isinstance(node, Scalar):
        return (new_name(node, "a kind of location"),)
    return tuple(dict.fromkeys(new_name(one, "a kind of location") for one in as_items(node, "`in`")))


def _worked_from(entries: Mapping[str, Node], values: Collection[str] | None) -> tuple[str, ...]:
    """What a fact is worked from; nothing where it does not matter."""
    if "worked_from" not in entries or values is None:
        return ()
    return some_of(entries["worked_from"], values, "named value or reference table")


def _kinds_of_subject(node: Node) -> tuple[str, ...]:
    """The kind of subject that a fact is about, or a list of them."""
    if isinstance(node, Scalar):
        return (new_name(node, "a kind of subject"),)
    return new_members(as_items(node, "`of`"), "a kind of subject")


def read_told(node: Node) -> dict[str, FactDefinition]:
    """The facts that are told, as `read_facts` gives them, but for what they are worked from."""
    section = as_map(node, "`facts`")
    told = {name: entry for name, entry in section.entries.items() if isinstance(entry, Map) and "told" in entry.entries}
    return {name: _fact(section.keys[name], entry, None) for name, entry in told.items()}


def _range(node: Node, unit: str) -> tuple[float, float]:
    ends = as_items(node, "`range`")
    if len(ends) != 2:
        raise refused(node.place, f"`range` has two ends, such as `[0 {unit}, 100 {unit}]`")
    lowest, highest = (quantity(end, unit, "`range`") for end in ends)
    if lowest >= highest:
        raise refused(ends[1].place, "the second end of `range` must be above the first")
    return lowest, highest


def read_asks(node: Node) -> dict[str, str]:
    """The questions about the description itself, by name."""
    section = as_map(node, "`asks`")
    return {new_name(section.keys[name], "a question"): text(entry, "a question") for name, entry in section.entries.items()}


def read_properties(node: Node) -> dict[str, dict[str, dict[str, str]]]:
    """Tables keyed by a choice: table, then choice, then property, then value."""
    section = as_map(node, "`properties`")
    return {new_name(section.keys[name], "a table of properties"): _property_rows(entry) for name, entry in section.entries.items()}


def _property_rows(node: Node) -> dict[str, dict[str, str]]:
    table = as_map(node, "a table of properties")
    rows = {}
    for name, entry in table.entries.items():
        row = as_map(entry, f"row `{name}`").entries
        rows[new_name(table.keys[name], "a row", MEMBER)] = {column: text(cell, f"`{column}`") for column, cell in row.items()}
    return rows


def read_sources(node: Node) -> dict[str, Source]:
    """The documents and practices that rules rest on, by name."""
    section = as_map(node, "`sources`")
    sources = {}
    for name, entry in section.entries.items():
        entries = fields(entry, f"source `{name}`", ("title",), ("note",))
        note = text(entries["note"], "`note`") if "note" in entries else ""
        sources[name] = Source(new_name(section.keys[name], "a source", HYPHENED), text(entries["title"], "`title`"), note)
    return sources

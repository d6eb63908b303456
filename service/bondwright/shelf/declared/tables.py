"""Tables of properties as they are declared: their rows, and what may stand in each column."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import get_args

from pydantic import BaseModel

from bondwright.installation.description import DesignedWork, InspectedWork
from bondwright.installation.proof import Measurement
from bondwright.installation.rooms import Circuit, Device, Item
from bondwright.installation.services import Meter, ServiceFrame
from bondwright.installation.words import ItemKind, Jointing, LocationKind, Material, Origin, PremisesKind, ServiceKind, Surroundings
from bondwright.shelf.reading.nodes import Items, Node
from bondwright.shelf.reading.scalars import as_scalar, fields, number, one_of, texts, yes_or_no


def _words(model: type[BaseModel], name: str) -> tuple[str, ...]:
    return get_args(model.model_fields[name].annotation)


DESCRIBED: Mapping[str, tuple[str, ...]] = {
    "material": get_args(Material),
    "origin": get_args(Origin),
    "far_end": _words(ServiceFrame, "far_end_earthing"),
    "surroundings": get_args(Surroundings),
    "touches": _words(Item, "touches"),
    "joint": get_args(Jointing),
    "meter_body": _words(Meter, "body"),
    "reading_to": _words(Measurement, "to"),
    "path": _words(Measurement, "own_bond"),
    "work": (*_words(DesignedWork, "kind"), *_words(InspectedWork, "kind")),
    "measure": _words(Circuit, "measure"),
    "rcd": _words(Circuit, "rcd"),
    "device": _words(Device, "type"),
    "service_kind": get_args(ServiceKind),
    "item_kind": get_args(ItemKind),
    "location_kind": get_args(LocationKind),
    "premises_kind": get_args(PremisesKind),
}
"""The words of a description that name rows of a table, by what they are of."""


@dataclass(frozen=True, slots=True)
class Range:
    """From `lowest` to `highest`, both included."""

    lowest: float
    highest: float

    def holds(self, value: float) -> bool:
        """Whether the number lies in it."""
        return self.lowest <= value <= self.highest


@dataclass(frozen=True, slots=True)
class Column:
    """A column. `words`: all that may stand in it; else `names`: what a cell names or is, as FORMAT.md lists it.

    `needed`: each row has it, in packs of the format `since` and later; `otherwise`: what is read where an older pack lacks it.
    """

    words: tuple[str, ...]
    names: str
    needed: bool
    since: int
    otherwise: str


@dataclass(frozen=True, slots=True)
class Table:
    """A table. `needed`: rows that must be there; `known`: all that may, none for any; `later`: rows that older packs may lack.

    `facts_of`: rows may be yes/no facts of that subject. `every`: the one column that stands for each row of the table `columns_of`.
    """

    since: int
    needed: tuple[str, ...]
    known: tuple[str, ...] | None
    later: Collection[str]
    facts_of: str
    columns: Mapping[str, Column]
    columns_of: str
    every: Column | None

    def column(self, name: str) -> Column | None:
        """The column of that name, if it is declared."""
        return self.every or self.columns.get(name)


def read_table(node: Node) -> Table:
    """A table out of the declaration."""
    entries = fields(node, "a table", ("rows",), ("columns", "columns_of", "is", "since"))
    rows = fields(entries["rows"], "`rows`", (), ("described", "needed", "must", "later", "any", "facts"))
    described = DESCRIBED[one_of(rows["described"], DESCRIBED, "word of a description")] if "described" in rows else ()
    must = texts(rows["must"], "`must`") if "must" in rows else ()
    every = "needed" not in rows or yes_or_no(rows["needed"], "`needed`")
    columns = fields(entries["columns"], "`columns`", (), None) if "columns" in entries else {}
    return Table(
        since=_number(entries, "since"),
        needed=(*(described if every else ()), *must),
        known=None if "any" in rows else (*described, *(name for name in must if name not in described)),
        later=texts(rows["later"], "`later`") if "later" in rows else (),
        facts_of=_word(rows, "facts"),
        columns={name: _column(entry) for name, entry in columns.items()},
        columns_of=_word(entries, "columns_of"),
        every=Column(texts(entries["is"], "`is`"), "", False, 1, "") if "is" in entries else None,
    )


def _column(node: Node) -> Column:
    entries = fields(node, "a column", ("is",), ("needed", "since", "otherwise"))
    words = texts(entries["is"], "`is`") if isinstance(entries["is"], Items) else ()
    return Column(
        words=words,
        names="" if words else as_scalar(entries["is"], "`is`").text,
        needed="needed" not in entries or yes_or_no(entries["needed"], "`needed`"),
        since=_number(entries, "since"),
        otherwise=_word(entries, "otherwise"),
    )


def _word(entries: Mapping[str, Node], key: str) -> str:
    return as_scalar(entries[key], f"`{key}`").text if key in entries else ""


def _number(entries: Mapping[str, Node], key: str) -> int:
    return int(number(entries[key], f"`{key}`")) if key in entries else 1

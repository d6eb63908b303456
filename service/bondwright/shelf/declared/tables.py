"""Tables of properties as they are declared: their rows, and what may stand in each column."""

from collections.abc import Collection, Mapping
from typing import get_args

from msgspec import Struct
from pydantic import BaseModel

from bondwright.installation.description import DesignedWork, InspectedWork
from bondwright.rulebook.facts import UNKNOWN
from bondwright.shelf.reading.nodes import Items, Node
from bondwright.shelf.reading.scalars import as_scalar, fields, number, one_of, texts, yes_or_no

TEXT_WITH_NUMBER = "text with number"
TEXTS = ("text", TEXT_WITH_NUMBER)
"""What `is` says of a column whose cells are text."""


def _words(model: type[BaseModel], name: str) -> tuple[str, ...]:
    return get_args(model.model_fields[name].annotation)


STATIC: Mapping[str, tuple[str, ...]] = {"work": (*_words(DesignedWork, "kind"), *_words(InspectedWork, "kind"))}
"""The words of a description that name rows of a table and are no choice of the packs, by what they are of."""


class Range(Struct, frozen=True):
    """From `lowest` to `highest`, both included."""

    lowest: float
    highest: float

    def holds(self, value: float) -> bool:
        """Whether the number lies in it."""
        return self.lowest <= value <= self.highest


class Column(Struct, frozen=True):
    """A column. `words`: all that may stand in it; else `names`: what a cell names or is, as FORMAT.md lists it.

    `needed`: each row has it, in packs of the format `since` and later; `otherwise`: what is read where an older pack lacks it.
    `tells`: the fact of a part that it tells, if any.
    """

    words: tuple[str, ...]
    names: str
    needed: bool
    since: int
    otherwise: str
    tells: str = ""


class Table(Struct, frozen=True):
    """A table. `needed`: rows that must be there; `known`: all that may, none for any; `later`: rows that older packs may lack.

    `described`: the choice of a description whose words its rows are, if they are. Those are the rows of packs that do not declare it;
    of one that does, `least` must be there and any may.
    `facts_of`: rows may be yes/no facts of that subject. `every`: the one column that stands for each row of the table `columns_of`.
    """

    since: int
    described: str
    least: tuple[str, ...]
    needed: tuple[str, ...]
    known: tuple[str, ...] | None
    later: Collection[str]
    facts_of: str
    columns: Mapping[str, Column]
    columns_of: str
    every: Column | None

    def rows_needed(self, declares: bool) -> tuple[str, ...]:
        """The rows that must be there in a pack that declares what descriptions may say, or in one that does not."""
        return self.least if declares and self.described else self.needed

    def column(self, name: str) -> Column | None:
        """The column of that name, if it is declared."""
        return self.every or self.columns.get(name)


def read_table(node: Node, choices: Mapping[str, tuple[str, ...]]) -> Table:
    """A table out of the declaration; `choices`: the words of descriptions where packs do not declare them, by what they are of."""
    entries = fields(node, "a table", ("rows",), ("columns", "columns_of", "is", "since"))
    rows = fields(entries["rows"], "`rows`", (), ("described", "needed", "must", "later", "any", "facts"))
    words = {**choices, **STATIC}
    of = one_of(rows["described"], words, "word of a description") if "described" in rows else ""
    described = words.get(of, ())
    must = texts(rows["must"], "`must`") if "must" in rows else ()
    every = "needed" not in rows or yes_or_no(rows["needed"], "`needed`")
    columns = fields(entries["columns"], "`columns`", (), None) if "columns" in entries else {}
    return Table(
        since=_number(entries, "since"),
        described=of if of in choices else "",
        least=(*((UNKNOWN,) if every and UNKNOWN in described else ()), *must),
        needed=(*(described if every else ()), *must),
        known=None if "any" in rows else (*described, *(name for name in must if name not in described)),
        later=texts(rows["later"], "`later`") if "later" in rows else (),
        facts_of=_word(rows, "facts"),
        columns={name: _column(entry) for name, entry in columns.items()},
        columns_of=_word(entries, "columns_of"),
        every=Column(texts(entries["is"], "`is`"), "", False, 1, "") if "is" in entries else None,
    )


def _column(node: Node) -> Column:
    entries = fields(node, "a column", ("is",), ("needed", "since", "otherwise", "tells"))
    words = texts(entries["is"], "`is`") if isinstance(entries["is"], Items) else ()
    return Column(
        words=words,
        names="" if words else as_scalar(entries["is"], "`is`").text,
        needed="needed" not in entries or yes_or_no(entries["needed"], "`needed`"),
        since=_number(entries, "since"),
        otherwise=_word(entries, "otherwise"),
        tells=_word(entries, "tells"),
    )


def _word(entries: Mapping[str, Node], key: str) -> str:
    return as_scalar(entries[key], f"`{key}`").text if key in entries else ""


def _number(entries: Mapping[str, Node], key: str) -> int:
    return int(number(entries[key], f"`{key}`")) if key in entries else 1

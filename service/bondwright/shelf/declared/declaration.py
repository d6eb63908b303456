"""The declaration of what code reads from a pack by name, as the file of it says."""

from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

from msgspec import Struct

from bondwright.rulebook.declared.acts import INSTRUCTIONS
from bondwright.shelf.declared.tables import Column, Range, Table, read_table
from bondwright.shelf.lines import file_bytes
from bondwright.shelf.reading.advice import MARKS
from bondwright.shelf.reading.nodes import Map, Node, Scalar, read_nodes
from bondwright.shelf.reading.scalars import (
    as_items,
    as_map,
    as_scalar,
    base_unit,
    fields,
    number,
    one_of,
    quantity,
    some_of,
    text,
    texts,
    yes_or_no,
)

FILE: Final = "read-by-name.yaml"
"""The file in the folder of rules."""
CHOICES: Final = "undeclared-choices.yaml"
"""The file of the words of descriptions where packs do not declare them."""
FIRST, STRICT, BOUNDED, DECLARING = 1, 2, 3, 4
"""Formats of packs: as published at first, with everything declared, with sizes for now bounded by what is certain, and with its places
and words declared.
"""


class Value(Struct, frozen=True):
    """A named value that code reads: `within` is in its base `unit`; `at_most`: a value that it does not exceed, if any."""

    unit: str
    within: Range
    at_most: str
    since: int
    needed: bool


class Reference(Struct, frozen=True):
    """A reference table. `by`: unit of each column or the words that stand in it; `beginnings`: keys with which some row begins."""

    by: Mapping[str, str | tuple[str, ...]]
    gives: str
    unit: str
    within: Range
    beginnings: tuple[tuple[str, ...], ...]
    needed: bool


class Fact(Struct, frozen=True):
    """A fact that code tells of the subjects `of`; `unit`: of a number. `until`: the last format in which it does; 0 for every one."""

    of: tuple[str, ...]
    kind: str
    unit: str
    since: int
    needed: bool
    until: int = 0


class Decided(Struct, frozen=True):
    """An outcome whose result code reads: with `levels` among others and `count` of them (0: any), or a size in `unit`.

    `until`: the last format in which code reads it by name; 0 for every one.
    """

    of: str
    levels: tuple[str, ...]
    count: int
    unit: str
    until: int = 0


class Names(Struct, frozen=True):
    """Names of questions or acts that code reads: those needed from the first format, and those of the second, needed or not.

    `until_3`: those needed up to the third format alone.
    """

    needed: tuple[str, ...]
    more: tuple[str, ...]
    until_3: tuple[str, ...] = ()


class Declaration(Struct, frozen=True):
    """All that code reads by name. `together`: what must be there too with an outcome or fact, by section.

    `instructions`: what programs do with an act, each with the marks than which it is no milder.
    `sentences`: the slots of each sentence, by its code; `calculations`: the same of those that calculations say; `later_sentences`: of
    those of the page for the site, which packs of format 4 may lack, all together. `texts`: where the texts of an answer stand in a pack,
    each with its code.
    """

    values: Mapping[str, Value]
    references: Mapping[str, Reference]
    properties: Mapping[str, Table]
    facts: Mapping[str, Fact]
    asks: Names
    readings: tuple[str, ...]
    advice: Names
    instructions: Mapping[str, tuple[str, ...]]
    outcomes: Mapping[str, Decided]
    together: Mapping[str, Mapping[str, tuple[str, ...]]]
    sentences: Mapping[str, tuple[str, ...]]
    calculations: Mapping[str, tuple[str, ...]]
    later_sentences: Mapping[str, tuple[str, ...]]
    texts: Mapping[str, str]

    def table_of(self, choice: str) -> str:
        """The table whose rows are the words of a choice; empty where there is none."""
        found = (name for name, table in self.properties.items() if table.described == choice and not table.columns_of)
        return next(found, "")

    def column(self, table: str, column: str) -> Column | None:
        """The column of a table of properties, if it is declared."""
        return self.properties[table].column(column) if table in self.properties else None

    def words_of_columns(self) -> dict[str, tuple[str, ...]]:
        """The words that stand in each column of words of the reference tables, by `TABLE/COLUMN`."""
        columns = {f"{name}/{column}": words for name, table in self.references.items() for column, words in table.by.items()}
        return {name: words for name, words in columns.items() if not isinstance(words, str)}

    def beside(self) -> Mapping[str, Any]:
        """What every pack is read with, as RulePack names it: what is read where it lacks a column, and the facts that columns tell."""
        tables = {
            name: {column: held.tells for column, held in table.columns.items() if held.tells} for name, table in self.properties.items()
        }
        return {"otherwise": self.otherwise(), "telling": {name: columns for name, columns in tables.items() if columns}}

    def otherwise(self) -> Mapping[tuple[str, str], str]:
        """What is read where a pack of the first format lacks a column, by table and column."""
        found = {(name, column): held.otherwise for name, table in self.properties.items() for column, held in table.columns.items()}
        return {key: word for key, word in found.items() if word}


@lru_cache(maxsize=2)
def undeclared_choices(folder: Path) -> Mapping[str, tuple[str, ...]]:
    """The words of descriptions where packs do not declare them, by what they are of. Raises: UnreadableRules."""
    file = fields(read_nodes(file_bytes(folder / CHOICES, CHOICES), CHOICES), f"file `{CHOICES}`", ("choices",))
    return {of: texts(words, "words") for of, words in as_map(file["choices"], "`choices`").entries.items()}


@lru_cache(maxsize=2)
def declaration(folder: Path) -> Declaration:
    """The declaration in the folder of rules. Raises: UnreadableRules."""
    sections = fields(read_nodes(file_bytes(folder / FILE, FILE), FILE), "the declaration", Declaration.__struct_fields__)
    together = {
        name: {section: texts(names, "names") for section, names in as_map(entry, name).entries.items()}
        for name, entry in as_map(sections["together"], "`together`").entries.items()
    }
    choices = undeclared_choices(folder)
    return Declaration(
        values={name: _value(entry) for name, entry in _entries(sections["values"])},
        references={name: _reference(entry) for name, entry in _entries(sections["references"])},
        properties={name: read_table(entry, choices) for name, entry in _entries(sections["properties"])},
        facts={name: _fact(entry) for name, entry in _entries(sections["facts"])},
        asks=_names(sections["asks"]),
        readings=texts(sections["readings"], "`readings`"),
        advice=_names(sections["advice"]),
        instructions=_instructions(sections["instructions"]),
        outcomes={name: _decided(entry) for name, entry in _entries(sections["outcomes"])},
        together=together,
        sentences=_slots(sections["sentences"]),
        calculations=_slots(sections["calculations"]),
        later_sentences=_slots(sections["later_sentences"]),
        texts={place: text(code, "a code") for place, code in _entries(sections["texts"])},
    )


def _entries(node: Node) -> list[tuple[str, Node]]:
    return [*as_map(node, "a section").entries.items()]


def _slots(node: Node) -> dict[str, tuple[str, ...]]:
    return {code: texts(slots, "slots") for code, slots in _entries(node)}


def _value(node: Node) -> Value:
    entries = fields(node, "a value", ("unit", "range"), ("at_most", "since", "needed"))
    unit = base_unit(entries["unit"], "a value")
    lowest, highest = (quantity(end, unit, "`range`") for end in as_items(entries["range"], "`range`"))
    return Value(unit, Range(lowest, highest), _word(entries, "at_most"), _since(entries), _needed(entries))


def _reference(node: Node) -> Reference:
    entries = fields(node, "a reference table", ("by", "gives", "range"), ("rows", "since", "needed"))
    by = {name: _unit_or_words(entry) for name, entry in _entries(entries["by"])}
    ((gives, unit),) = _entries(entries["gives"])
    lowest, highest = (number(end, "`range`") for end in as_items(entries["range"], "`range`"))
    beginnings = tuple(texts(row, "a row") for row in as_items(entries["rows"], "`rows`")) if "rows" in entries else ()
    return Reference(by, gives, as_scalar(unit, "a unit").text, Range(lowest, highest), beginnings, _needed(entries))


def _unit_or_words(node: Node) -> str | tuple[str, ...]:
    return node.text if isinstance(node, Scalar) else texts(node, "words")


def _fact(node: Node) -> Fact:
    entries = fields(node, "a fact", ("of", "kind"), ("unit", "since", "needed", "until"))
    return Fact(
        of=texts(entries["of"], "`of`"),
        kind=one_of(entries["kind"], ("yes_no", "choice", "number"), "kind of fact"),
        unit=_word(entries, "unit"),
        since=_since(entries),
        needed=_needed(entries),
        until=_until(entries),
    )


def _decided(node: Node) -> Decided:
    entries = fields(node, "an outcome", ("of",), ("levels", "count", "unit", "until"))
    levels = texts(entries["levels"], "`levels`") if "levels" in entries else ()
    count = int(number(entries["count"], "`count`")) if "count" in entries else 0
    return Decided(text(entries["of"], "`of`"), levels, count, _word(entries, "unit"), _until(entries))


def _names(node: Node) -> Names:
    entries = fields(node, "names", ("needed",), ("since_2", "may", "until_3"))
    more = [texts(entries[key], "names") for key in ("since_2", "may") if key in entries]
    until_3 = texts(entries["until_3"], "names") if "until_3" in entries else ()
    return Names(texts(entries["needed"], "names"), tuple(name for some in more for name in some), until_3)


def _instructions(node: Node) -> dict[str, tuple[str, ...]]:
    entries = fields(node, "`instructions`", INSTRUCTIONS)
    return {name: some_of(entries[name], MARKS, "mark") for name in INSTRUCTIONS}


def _word(entries: Mapping[str, Node], key: str) -> str:
    return as_scalar(entries[key], f"`{key}`").text if key in entries else ""


def _since(entries: Mapping[str, Node]) -> int:
    return int(number(entries["since"], "`since`")) if "since" in entries else FIRST


def _until(entries: Mapping[str, Node]) -> int:
    return int(number(entries["until"], "`until`")) if "until" in entries else 0


def in_format(until: int, form: int) -> bool:
    """Whether code still reads by name in packs of that format what it reads `until` then."""
    return not until or form <= until


def _needed(entries: Mapping[str, Node]) -> bool:
    return "needed" not in entries or yes_or_no(entries["needed"], "`needed`")


def section(root: Map, *keys: str) -> Node:
    """The innermost node on a path that is there."""
    node: Node = root
    for key in keys:
        if not isinstance(node, Map) or key not in node.entries:
            return node
        node = node.entries[key]
    return node

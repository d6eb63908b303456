"""Printed numbers with what each rests on: named ones, and reference tables that calculations look up by what a number is of."""

from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import TypeAlias

from msgspec import Struct

from bondwright.errors import UnknownName
from bondwright.rulebook.facts import Place

Key: TypeAlias = str | float
"""What a cell is of, in one column: a choice, or a number in the unit of the column."""


class NamedValue(Struct, frozen=True):
    """A named number with unit, clause, source and confidence, such as a limit or a resistivity."""

    name: str
    value: float
    unit: str
    clause: str
    source: str
    kind: str
    confidence: str
    place: Place


class Cell(Struct, frozen=True):
    """One number of a table, with what it rests on."""

    value: float
    source: str
    kind: str
    confidence: str
    place: Place


class ReferenceTable(Struct, frozen=True, dict=True):
    """A table of one number by its key columns, in order.

    `by`: the unit of each key column by its name, `choice` for a name. `gives`: name of the number; `unit`: its unit.
    """

    table_id: str
    title: str
    clause: str
    by: Mapping[str, str]
    gives: str
    unit: str
    cells: Mapping[tuple[Key, ...], Cell]
    place: Place

    def cell(self, *keys: Key) -> Cell:
        """The cell of these keys. Raises: UnknownName, if there is none."""
        found = self.cells.get(keys)
        if found is None:
            raise UnknownName(f"row of table {self.table_id}", ", ".join(map(str, keys)))
        return found

    def column(self, *keys: Key) -> Mapping[float, Cell]:
        """The cells whose keys begin so, by their last key, which is a number. Raises: UnknownName, if there is none."""
        numbers = self._columns.get(keys)
        if numbers is None:
            raise UnknownName(f"rows of table {self.table_id}", ", ".join(map(str, keys)))
        return numbers

    def numbers(self, *keys: Key) -> Mapping[float, float]:
        """The numbers of that column alone. Raises: UnknownName, if there is none."""
        found = self._numbers.get(keys)
        return self._numbers.setdefault(keys, {key: cell.value for key, cell in self.column(*keys).items()}) if found is None else found

    @cached_property
    def _numbers(self) -> dict[tuple[Key, ...], Mapping[float, float]]:
        return {}

    @cached_property
    def _columns(self) -> Mapping[tuple[Key, ...], Mapping[float, Cell]]:
        found: dict[tuple[Key, ...], dict[float, Cell]] = {}
        for key, cell in self.cells.items():
            if not isinstance(key[-1], str):
                found.setdefault(key[:-1], {})[key[-1]] = cell
        return found

    @cached_property
    def choices(self) -> Mapping[str, tuple[str, ...]]:
        """The names that stand in each column of choices, in the order of the table."""
        return {
            column: tuple(dict.fromkeys(str(key[place]) for key in self.cells))
            for place, (column, unit) in enumerate(self.by.items())
            if unit == CHOICE
        }

    def __iter__(self) -> Iterator[tuple[tuple[Key, ...], Cell]]:
        """The cells in the order of the table, each with its keys."""
        return iter(self.cells.items())


CHOICE = "choice"
"""The unit of a key column that holds names."""

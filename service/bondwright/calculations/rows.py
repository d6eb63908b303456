"""Rows of tables as calculations tell of them: what a row is of, and what lies next to one that is not there."""

import re
from collections.abc import Sequence
from typing import get_args

from bondwright.calculations.answer import Quantity, TableRow
from bondwright.calculators.conductors import area_of_imperial
from bondwright.installation.words import ImperialSize
from bondwright.rulebook.held import Sentences
from bondwright.rulebook.reference import CHOICE, Key, ReferenceTable
from bondwright.rulebook.sizing import LimitsTable

_SIZE = "mm2"
_NUMBERED = re.compile(r"([a-z]+)([0-9]+)")


def imperial_sizes() -> str:
    """The old imperial sizes with their areas, in words."""
    sizes = ", ".join(f"{size} is {area_of_imperial(size):.3g} mm²" for size in get_args(ImperialSize))
    return f"an old imperial size goes by its area: {sizes}"


def no_row(table: ReferenceTable, keys: tuple[Key, ...]) -> str:
    """What is wrong with keys that the table has no row for, and what may stand there: the nearest rows and all."""
    *before, wanted = keys
    known = list(dict.fromkeys(row[len(before)] for row, _ in table if row[: len(before)] == tuple(before)))
    if not known:
        return _no_rows(table, before)
    unit = list(table.by.values())[len(before)]
    nearest = _nearest(wanted, known, unit)
    there_are = f"there are {listed(known)}{_after(unit)}"
    old = imperial_sizes() if unit == _SIZE else ""
    return "; ".join(part for part in (f"no row for it in table `{table.table_id}`", nearest, there_are, old) if part)


def row_of(table: ReferenceTable, *keys: Key) -> TableRow:
    """One row of a reference table, by its keys. Raises: UnknownName, if there is none."""
    named = (key if isinstance(key, str) else f"{key:g}{_after(unit)}" for key, unit in zip(keys, table.by.values(), strict=True))
    return TableRow(table.table_id, ", ".join(named), Quantity(table.gives, table.cell(*keys).value, table.unit))


def rows_around(table: ReferenceTable, *keys: Key, at: float) -> tuple[TableRow, ...]:
    """The row whose last key is `at`, or the two between which it lies; beyond the table its end. `keys`: those before.

    Raises: UnknownName, if no row begins so.
    """
    rows = sorted(table.column(*keys))
    below, above = [row for row in rows if row <= at], [row for row in rows if row >= at]
    return tuple(row_of(table, *keys, row) for row in dict.fromkeys([*below[-1:], *above[:1]]))


def limits_row(table: LimitsTable, value: float, say: Sentences) -> TableRow:
    """The row of a table of upper limits that covers a value."""
    limits = [row.up_to for row in table.rows if row.up_to is not None]
    up_to = next((limit for limit in limits if value <= limit), None)
    if up_to is not None:
        row = say("row_up_to", reads=table.reads, limit=f"{up_to:g}{_after(table.unit)}")
    elif limits:
        row = say("row_above", reads=table.reads, limit=f"{limits[-1]:g}{_after(table.unit)}")
    else:
        row = say("row_every_value", reads=table.reads, unit=_after(table.unit).strip())
    return TableRow(table.table_id, row, Quantity("size", table.at(value), table.gives))


def listed(keys: Sequence[Key]) -> str:
    """Keys in words, one after another."""
    return ", ".join(key if isinstance(key, str) else f"{key:g}" for key in keys)


def _no_rows(table: ReferenceTable, before: Sequence[Key]) -> str:
    firsts = list(dict.fromkeys(row[0] for row, _ in table if row))
    return f"table `{table.table_id}` of this rule pack has no rows for {listed(before)}; there are {listed(firsts)}"


def _nearest(wanted: Key, known: Sequence[Key], unit: str) -> str:
    """The rows next to the one that is not there, in words; empty where the keys have no order."""
    places = [(_order(key), key) for key in known]
    own = _order(wanted)
    if own is None or any(place is None or place[0] != own[0] for place, _ in places):
        return ""
    below = [key for place, key in places if place is not None and place < own]
    above = [key for place, key in places if place is not None and place > own]
    lower, upper = max(below, key=_rank, default=None), min(above, key=_rank, default=None)
    if lower is None:
        return f"the smallest row is {listed([upper])}{_after(unit)}" if upper is not None else ""
    if upper is None:
        return f"the largest row is {listed([lower])}{_after(unit)}"
    return f"next below is {listed([lower])}{_after(unit)}, next above {listed([upper])}{_after(unit)}"


def _rank(key: Key) -> float:
    place = _order(key)
    return 0.0 if place is None else place[1]


def _order(key: Key) -> tuple[str, float] | None:
    """What keys are ordered by: a number, or a name that ends with one, such as `dn25`; none for other names."""
    if not isinstance(key, str):
        return "", key
    found = _NUMBERED.fullmatch(key)
    return (found[1], float(found[2])) if found else None


def _after(unit: str) -> str:
    return "" if unit == CHOICE else f" {unit.replace('mm2', 'mm²')}"

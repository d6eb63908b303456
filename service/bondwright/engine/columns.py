"""Columns: every distinct test of a set of rules as one small integer, so that no caller's text reaches the engine."""

import operator
from collections.abc import Callable, Container, Mapping, Sequence
from itertools import groupby
from typing import TypeAlias

from msgspec import Struct

from bondwright.errors import EngineFault
from bondwright.rulebook.condition import Test
from bondwright.rulebook.facts import UNKNOWN, Between, Facts

CERTAINLY_FALSE, POSSIBLE, CERTAIN = 0, 1, 2
"""What a cell may be: certainly false, unknown, certainly true."""

CellsReader: TypeAlias = Callable[[Facts], bytes]
"""Gives the cells of one subject, one byte per column. Raises EngineFault, if a fact is missing or of the wrong kind."""


class Column(Struct, frozen=True):
    """One test, or, if `denied`, its opposite, whose cell is 2 less the test's own.

    `aside`: a test of evidence that nobody must supply, in a rule that relaxes; whoever reads a row may set it aside.
    """

    test: Test
    denied: bool = False
    aside: bool = False

    @property
    def reads(self) -> tuple[str, str, bool]:
        """The fact, what it is compared with, and whether it may be set aside; neighbours that share all three are read in one go."""
        match self.test.operand:
            case tuple():
                return self.test.fact, "choices", self.aside
            case str(other):
                return self.test.fact, f"fact {other}", self.aside
            case _:
                return self.test.fact, "number", self.aside


def cells_reader(columns: Sequence[Column], setting_aside: Container[str] | None = None) -> CellsReader:
    """A closure that gives the cells of `columns` in their order.

    `setting_aside`: names of all facts that are evidence, if what is undecided in a column that may be set aside counts as false there,
    unless what it is compared with is no evidence and could still make it certain. None: such columns are read like any other.
    """
    readers = [_reader(fact, list(group), setting_aside) for (fact, _, _), group in groupby(columns, lambda column: column.reads)]
    return lambda facts: b"".join([read(facts) for read in readers])


def _reader(fact: str, columns: Sequence[Column], setting_aside: Container[str] | None) -> CellsReader:
    aside = columns[0].aside and setting_aside is not None
    match columns[0].test.operand:
        case tuple():
            return _choice_reader(fact, columns, CERTAINLY_FALSE if aside else POSSIBLE)
        case str(other) if aside and setting_aside is not None and other not in setting_aside:
            return _open_reader(fact, other, columns)
        case str(other):
            read = _two_facts_reader(fact, other, columns)
        case _:
            read = _number_reader(fact, columns)
    return (lambda facts: read(facts).translate(_UNDECIDED_IS_FALSE)) if aside else read


_UNDECIDED_IS_FALSE = bytes.maketrans(bytes([POSSIBLE]), bytes([CERTAINLY_FALSE]))


def _choice_reader(fact: str, columns: Sequence[Column], unknown: int) -> CellsReader:
    """All cells of one choice are looked up at once, by its value; `unknown`: each cell where it is not known."""
    cells = {value: _choice_cells(value, columns) for column in columns for value in _choices(column)}
    cells[UNKNOWN] = bytes([unknown] * len(columns))
    otherwise = bytes([CERTAIN if column.denied else CERTAINLY_FALSE for column in columns])

    def read(facts: Facts) -> bytes:
        value = facts.get(fact)
        if not isinstance(value, str):
            raise EngineFault(f"fact `{fact}` is tested as a choice, and the row holds none")
        return cells.get(value, otherwise)

    return read


def _choice_cells(value: str, columns: Sequence[Column]) -> bytes:
    return bytes([CERTAIN if (value in _choices(column)) != column.denied else CERTAINLY_FALSE for column in columns])


def _choices(column: Column) -> tuple[str, ...]:
    assert isinstance(column.test.operand, tuple)
    return column.test.operand


_HOLDS: Mapping[tuple[str, bool], Callable[[float, float], bool]] = {
    ("at_least", False): operator.ge,
    ("at_least", True): operator.lt,
    ("above", False): operator.gt,
    ("above", True): operator.le,
    ("at_most", False): operator.le,
    ("at_most", True): operator.gt,
    ("below", False): operator.lt,
    ("below", True): operator.ge,
}


def _number_reader(fact: str, columns: Sequence[Column]) -> CellsReader:
    """A cell counts the ends of the fact's range at which the comparison holds, since each comparison holds on one side only."""
    tests = [(_HOLDS[column.test.operator, column.denied], _limit(column)) for column in columns]

    def read(facts: Facts) -> bytes:
        ours = _range(facts, fact)
        lowest, highest = ours.lowest, ours.highest
        return bytes([holds(lowest, limit) + holds(highest, limit) for holds, limit in tests])

    return read


def _two_facts_reader(fact: str, other: str, columns: Sequence[Column]) -> CellsReader:
    """As for a number, at the two opposite extremes: lowest against highest, highest against lowest."""
    tests = [_HOLDS[column.test.operator, column.denied] for column in columns]

    def read(facts: Facts) -> bytes:
        ours, theirs = _range(facts, fact), _range(facts, other)
        return bytes([holds(ours.lowest, theirs.highest) + holds(ours.highest, theirs.lowest) for holds in tests])

    return read


def _open_reader(fact: str, other: str, columns: Sequence[Column]) -> CellsReader:
    """Of two facts, the first evidence: what is undecided stays possible only where the other, at an end of it, would make it certain."""
    tests = [_HOLDS[column.test.operator, column.denied] for column in columns]
    decided = _two_facts_reader(fact, other, columns)

    def read(facts: Facts) -> bytes:
        ours, theirs = _range(facts, fact), _range(facts, other)
        still = [
            POSSIBLE * any(holds(ours.lowest, end) and holds(ours.highest, end) for end in (theirs.lowest, theirs.highest))
            for holds in tests
        ]
        return bytes([possible if cell == POSSIBLE else cell for cell, possible in zip(decided(facts), still, strict=True)])

    return read


def _limit(column: Column) -> float:
    assert isinstance(column.test.operand, float | int)
    return column.test.operand


def _range(facts: Facts, fact: str) -> Between:
    value = facts.get(fact)
    if not isinstance(value, Between):
        raise EngineFault(f"fact `{fact}` is compared as a number, and the row holds none")
    return value

"""The closed list of forms by which a rule computes a number, as interval arithmetic on what is known.

Every form but `Quotient`'s divisor rises with its inputs, so the ends of the result come from the ends of the inputs.
"""

from bisect import bisect_left
from collections.abc import Callable, Iterator, Mapping
from typing import TypeAlias

from msgspec import Struct

from bondwright.rulebook.facts import Between, Facts, Place


class Row(Struct, frozen=True):
    """One row of a limits table: up to and including `up_to` (None: above all others), use `use`."""

    up_to: float | None
    use: float
    place: Place


class LimitsTable(Struct, frozen=True):
    """A table that states upper limits only, so that gaps and overlaps cannot be written; it rises."""

    table_id: str
    reads: str
    unit: str
    gives: str
    clause: str
    source: str
    confidence: str
    rows: tuple[Row, ...]
    place: Place

    def at(self, value: float) -> float:
        """The entry of the row that covers `value`."""
        for row in self.rows:
            if row.up_to is None or value <= row.up_to:
                return row.use
        raise AssertionError("the shelf asks for a last row `above`")


class FromFact(Struct, frozen=True):
    """The number that a fact states."""

    fact: str


class FromValue(Struct, frozen=True):
    """A named value of the pack, or a bare number."""

    value: float


class FromTable(Struct, frozen=True):
    """The entry of a limits table."""

    table_id: str


class HalfOf(Struct, frozen=True):
    """Half of the operand."""

    operand: "Form"


class Quotient(Struct, frozen=True):
    """`dividend` over `divisor`, both positive."""

    dividend: "Form"
    divisor: "Form"


class LargestOf(Struct, frozen=True):
    """The largest operand."""

    operands: "tuple[Form, ...]"


class SmallestOf(Struct, frozen=True):
    """The smallest operand."""

    operands: "tuple[Form, ...]"


class RoundUpTo(Struct, frozen=True):
    """The operand rounded up to the next member of a rising series; above its last member, that last member."""

    series: tuple[float, ...]
    operand: "Form"


Form: TypeAlias = FromFact | FromValue | FromTable | HalfOf | Quotient | LargestOf | SmallestOf | RoundUpTo


Ends: TypeAlias = tuple[float, float]
"""The lowest and the highest value of a number."""

Computes: TypeAlias = Callable[[Facts], Ends]


def compute(form: Form, facts: Facts, tables: Mapping[str, LimitsTable]) -> Between:
    """The range of values that `form` can have, given what is known."""
    return Between(*computing(form, tables)(facts))


def computing(form: Form, tables: Mapping[str, LimitsTable]) -> Computes:
    """The range of values that a form can have on a row, as a function that is made once."""
    match form:
        case FromFact(fact):
            return ends_of(fact)
        case FromValue(value):
            return lambda _: (value, value)
        case FromTable(table_id):
            table = tables[table_id]
            reads, at = ends_of(table.reads), table.at
            return lambda facts: _at(reads(facts), at)
        case HalfOf(operand):
            inner = computing(operand, tables)
            return lambda facts: _half(inner(facts))
        case Quotient(dividend, divisor):
            over, under = computing(dividend, tables), computing(divisor, tables)
            return lambda facts: _quotient(over(facts), under(facts))
        case LargestOf(operands):
            parts = [computing(operand, tables) for operand in operands]
            return lambda facts: _of_all(max, [part(facts) for part in parts])
        case SmallestOf(operands):
            parts = [computing(operand, tables) for operand in operands]
            return lambda facts: _of_all(min, [part(facts) for part in parts])
        case RoundUpTo(series, operand):
            inner = computing(operand, tables)
            return lambda facts: _at(inner(facts), lambda value: _stocked(value, series))


def _at(ends: Ends, found: Callable[[float], float]) -> Ends:
    lowest = found(ends[0])
    return lowest, lowest if ends[0] == ends[1] else found(ends[1])


def _half(ends: Ends) -> Ends:
    return ends[0] / 2, ends[1] / 2


def _quotient(over: Ends, under: Ends) -> Ends:
    return over[0] / under[1], over[1] / under[0]


def _of_all(chosen: Callable[[list[float]], float], parts: list[Ends]) -> Ends:
    return chosen([lowest for lowest, _ in parts]), chosen([highest for _, highest in parts])


def ends_of(fact: str) -> Computes:
    """The ends of a number that a row states, as a function."""

    def ends(facts: Facts) -> Ends:
        value = facts[fact]
        assert isinstance(value, Between)
        return value.lowest, value.highest

    return ends


def _stocked(value: float, series: tuple[float, ...]) -> float:
    return series[min(bisect_left(series, value), len(series) - 1)]


def facts_in(form: Form, tables: Mapping[str, LimitsTable]) -> tuple[str, ...]:
    """Names of the facts and earlier sizes that `form` reads, left to right, repeats included."""
    own = (form.fact,) if isinstance(form, FromFact) else (tables[form.table_id].reads,) if isinstance(form, FromTable) else ()
    return own + tuple(fact for operand in _operands(form) for fact in facts_in(operand, tables))


def alone_in(form: Form, tables: Mapping[str, LimitsTable]) -> Iterator[tuple[str, Form]]:
    """The widest forms in `form` that read one fact or earlier size alone, each with that: all that `form` sees of it, left to right."""
    reads = set(facts_in(form, tables))
    if len(reads) == 1:
        yield reads.pop(), form
    elif reads:
        for operand in _operands(form):
            yield from alone_in(operand, tables)


def tables_in(form: Form, tables: Mapping[str, LimitsTable]) -> tuple[LimitsTable, ...]:
    """The tables that `form` looks up, left to right, repeats included."""
    own = (tables[form.table_id],) if isinstance(form, FromTable) else ()
    return own + tuple(table for operand in _operands(form) for table in tables_in(operand, tables))


def _operands(form: Form) -> tuple[Form, ...]:
    match form:
        case FromFact() | FromValue() | FromTable():
            return ()
        case HalfOf(operand) | RoundUpTo(operand=operand):
            return (operand,)
        case Quotient(dividend, divisor):
            return (dividend, divisor)
        case LargestOf(operands) | SmallestOf(operands):
            return operands

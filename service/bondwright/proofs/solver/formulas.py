"""The forms by which rules compute numbers, as the solver sees them: the meaning of `rulebook.sizing`."""

from collections.abc import Mapping, Sequence

import z3

from bondwright.proofs.solver.logic import all_of, one_of
from bondwright.proofs.solver.symbols import Range, Row, exact
from bondwright.rulebook.sizing import (
    Form,
    FromFact,
    FromTable,
    FromValue,
    HalfOf,
    LargestOf,
    LimitsTable,
    Quotient,
    RoundUpTo,
    SmallestOf,
)


def computed(form: Form, row: Row, tables: Mapping[str, LimitsTable]) -> Range:
    """The range of values that `form` can have."""
    match form:
        case FromFact(fact):
            return _number(row, fact)
        case FromValue(value):
            return Range(exact(value), exact(value))
        case FromTable(table_id):
            reads = _number(row, tables[table_id].reads)
            return Range(_entry(tables[table_id], reads.lowest), _entry(tables[table_id], reads.highest))
        case HalfOf(operand):
            inner = computed(operand, row, tables)
            return Range(inner.lowest / 2, inner.highest / 2)
        case Quotient(dividend, divisor):
            over, under = computed(dividend, row, tables), computed(divisor, row, tables)
            return Range(over.lowest / under.highest, over.highest / under.lowest)
        case LargestOf(operands) | SmallestOf(operands):
            larger = isinstance(form, LargestOf)
            parts = [computed(operand, row, tables) for operand in operands]
            always = z3.BoolVal(True)
            return Range(
                extreme([(always, part.lowest) for part in parts], larger=larger),
                extreme([(always, part.highest) for part in parts], larger=larger),
            )
        case RoundUpTo(series, operand):
            inner = computed(operand, row, tables)
            return Range(_stocked(inner.lowest, series), _stocked(inner.highest, series))


def extreme(options: Sequence[tuple[z3.BoolRef, z3.ArithRef]], *, larger: bool) -> z3.ArithRef:
    """The largest or the smallest value whose condition holds; some number where none does."""
    if not options:
        return exact(0)
    found, best = options[0]
    for condition, value in options[1:]:
        better = value > best if larger else value < best
        best = z3.If(all_of([condition, one_of([z3.Not(found), better])]), value, best)
        found = one_of([found, condition])
    return best


def _number(row: Row, name: str) -> Range:
    symbol = row[name]
    assert isinstance(symbol, Range)
    return symbol


def _entry(table: LimitsTable, value: z3.ArithRef) -> z3.ArithRef:
    entry = exact(table.rows[-1].use)
    for one in reversed(table.rows[:-1]):
        assert one.up_to is not None, "only the last row of a table is `above`"
        entry = z3.If(value <= exact(one.up_to), exact(one.use), entry)
    return entry


def _stocked(value: z3.ArithRef, series: tuple[float, ...]) -> z3.ArithRef:
    member = exact(series[-1])
    for size in reversed(series[:-1]):
        member = z3.If(value <= exact(size), exact(size), member)
    return member

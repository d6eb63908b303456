"""Forms: how a rule computes a number, with units checked from the leaves up."""

from collections.abc import Mapping
from types import MappingProxyType

from bondwright.rulebook.sizing import (
    Form,
    FromFact,
    FromTable,
    FromValue,
    HalfOf,
    LargestOf,
    Quotient,
    RoundUpTo,
    SmallestOf,
    compute,
)
from bondwright.shelf.reading.names import Reach
from bondwright.shelf.reading.nodes import Node, Scalar, refused
from bondwright.shelf.reading.scalars import any_quantity, as_items, as_map, as_scalar, fields, listed, one_of

_FORMS = ("fact", "value", "table", "half_of", "quotient", "largest_of", "smallest_of", "round_up_to")
_QUOTIENTS: Mapping[tuple[str, str], str] = MappingProxyType({("V", "A"): "ohm", ("V", "ohm"): "A"})  # Ohm's law


def read_form(node: Node, unit: str, reach: Reach) -> Form:
    """The form that `node` writes, which must give a number in `unit`."""
    form, found = _form(node, reach)
    if found != unit:
        raise refused(node.place, f"this gives a number in `{found}`; one in `{unit}` is needed here")
    return form


def _form(node: Node, reach: Reach) -> tuple[Form, str]:
    if isinstance(node, Scalar):
        value, unit = any_quantity(node, "a number")
        return FromValue(value), unit
    entries = as_map(node, "a form")
    if len(entries.keys) != 1:
        raise refused(entries.place, f"a form has one key: {', '.join(_FORMS)}")
    ((name, inner),) = entries.entries.items()
    match one_of(entries.keys[name], _FORMS, "form"):
        case "fact":
            key = as_scalar(inner, "`fact`")
            return FromFact(key.text), reach.quantity(key).unit
        case "value":
            value_name = one_of(inner, reach.vocabulary.values, "named value")
            return FromValue(reach.vocabulary.values[value_name].value), reach.vocabulary.values[value_name].unit
        case "table":
            return _table(inner, reach)
        case "half_of":
            operand, unit = _form(inner, reach)
            return HalfOf(operand), unit
        case "quotient":
            return _quotient(inner, reach)
        case "largest_of":
            operands, unit = _operands(inner, reach)
            return LargestOf(operands), unit
        case "smallest_of":
            operands, unit = _operands(inner, reach)
            return SmallestOf(operands), unit
        case _:
            return _round_up(inner, reach)


def _table(node: Node, reach: Reach) -> tuple[Form, str]:
    table = reach.vocabulary.tables[one_of(node, reach.vocabulary.tables, "table")]
    of = reach.vocabulary.facts[table.reads].of
    if reach.of not in of:
        raise refused(node.place, f"table `{table.table_id}` reads a fact of {listed(of)}; this rule is about `{reach.of}`")
    return FromTable(table.table_id), table.gives


def _operands(node: Node, reach: Reach) -> tuple[tuple[Form, ...], str]:
    nodes = as_items(node, "the operands")
    if not nodes:
        raise refused(node.place, "name at least one operand")
    first, unit = _form(nodes[0], reach)
    return (first, *(read_form(other, unit, reach) for other in nodes[1:])), unit


def _quotient(node: Node, reach: Reach) -> tuple[Form, str]:
    nodes = as_items(node, "`quotient`")
    if len(nodes) != 2:
        raise refused(node.place, "`quotient` has two members: what is divided, and by what")
    (dividend, over), (divisor, under) = (_form(member, reach) for member in nodes)
    if not compute(divisor, reach.numbers(), reach.vocabulary.tables).lowest > 0:
        raise refused(nodes[1].place, "the divisor can be 0; give its fact a range that starts above 0")
    if under == "of one":
        return Quotient(dividend, divisor), over
    if over == under:
        return Quotient(dividend, divisor), "of one"
    if (over, under) not in _QUOTIENTS:
        raise refused(node.place, f"`{over}` over `{under}` has no unit that rule files know")
    return Quotient(dividend, divisor), _QUOTIENTS[over, under]


def _round_up(node: Node, reach: Reach) -> tuple[Form, str]:
    entries = fields(node, "`round_up_to`", ("series", "of"))
    series = reach.vocabulary.series[one_of(entries["series"], reach.vocabulary.series, "series")]
    return RoundUpTo(series.members, read_form(entries["of"], series.unit, reach)), series.unit

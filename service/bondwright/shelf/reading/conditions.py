"""Conditions: what a rule tests, every name and value checked against the vocabulary."""

from bondwright.rulebook.condition import All, Any, Condition, Not, Operator, Test
from bondwright.rulebook.facts import NO, YES, FactDefinition
from bondwright.rulebook.pack import Outcome
from bondwright.shelf.reading.names import Quantity, Reach
from bondwright.shelf.reading.nodes import Map, Node, Scalar, refused
from bondwright.shelf.reading.scalars import NAME, as_items, as_map, as_scalar, one_of, quantity, some_of

_COMPARISONS: tuple[Operator, ...] = ("at_least", "above", "at_most", "below")


def read_condition(node: Node, reach: Reach) -> Condition:
    """The condition that `node` writes: a map of tests and of `all`, `any`, `not`, all of which must hold."""
    entries = as_map(node, "a condition")
    if not entries.keys:
        raise refused(entries.place, "the condition is empty; write `all: []` for one that always holds")
    parts = tuple(_part(key, entries.entries[key.text], reach) for key in entries.keys.values())
    return parts[0] if len(parts) == 1 else All(parts)


def _part(key: Scalar, node: Node, reach: Reach) -> Condition:
    match key.text:
        case "all":
            return All(tuple(read_condition(member, reach) for member in as_items(node, "`all`")))
        case "any":
            members = as_items(node, "`any`")
            if not members:
                raise refused(node.place, "an empty `any` never holds; name at least one condition")
            return Any(tuple(read_condition(member, reach) for member in members))
        case "not":
            return Not(read_condition(node, reach))
    found = reach.fact_or_outcome(key)
    if isinstance(found, Outcome) and found.levels:
        return _level_test(found, node)
    if isinstance(found, Outcome) or found.kind == "number":
        return _comparison(key, node, reach)
    return _value_test(found, node)


def _value_test(fact: FactDefinition, node: Node) -> Test:
    known = (YES, NO) if fact.kind == "yes_no" else fact.choices
    return Test(fact.name, "is", tuple(sorted(some_of(node, known, f"value of `{fact.name}` that can be tested"))))


def _level_test(outcome: Outcome, node: Node) -> Test:
    index = outcome.levels.index(one_of(node, outcome.levels, f"level of `{outcome.name}`"))
    if index == 0:
        least, next_level = outcome.levels[0], outcome.levels[1]
        detail = f"`{least}` or more always holds; for `{least}` alone write `not: {{{outcome.name}: {next_level}}}`"
        raise refused(node.place, detail)
    return Test(outcome.name, "at_least", float(index))


def _comparison(key: Scalar, node: Node, reach: Reach) -> Test:
    if not isinstance(node, Map) or len(node.keys) != 1:
        raise refused(
            node.place, f"`{key.text}` is a number; test it with one of at_least, above, at_most, below, such as `{{at_least: …}}`"
        )
    ((operator, operand),) = node.entries.items()
    comparison = one_of(node.keys[operator], _COMPARISONS, "comparison of numbers")
    return Test(key.text, comparison, _operand(key.text, operand, reach.quantity(key), reach))


def _operand(name: str, node: Node, tested: Quantity, reach: Reach) -> float | str:
    """The number to compare with, or the name of the number fact or earlier size that holds it."""
    operand = as_scalar(node, "what a number is compared with")
    if operand.text in reach.vocabulary.values:
        value = reach.vocabulary.values[operand.text]
        _check_unit(name, operand, tested.unit, value.unit)
        limit = value.value
    elif NAME.fullmatch(operand.text):
        _check_unit(name, operand, tested.unit, reach.quantity(operand).unit)
        return operand.text
    else:
        limit = quantity(operand, tested.unit, f"`{name}`")
    if not tested.limits.lowest <= limit <= tested.limits.highest:
        within = f"{tested.limits.lowest:g} to {tested.limits.highest:g} {tested.unit}"
        raise refused(operand.place, f"{limit:g} {tested.unit} is outside the range of `{name}`, {within}")
    return limit


def _check_unit(name: str, operand: Scalar, unit: str, other: str) -> None:
    if unit != other:
        raise refused(operand.place, f"`{operand.text}` is in `{other}`, but `{name}` is in `{unit}`")

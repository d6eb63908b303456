"""Worked examples of a rule: facts given and outcomes expected.

An expectation is a pair of texts: `outcome` and the level or size that is the worst case, or `outcome.field` and its value. A
size is a bare number in the outcome's unit, here as Python writes it (`10.0`).
"""

from bondwright.rulebook.facts import NO, UNKNOWN, YES, Between, FactValue
from bondwright.rulebook.pack import Outcome
from bondwright.rulebook.rule import Example
from bondwright.shelf.reading.names import Reach
from bondwright.shelf.reading.nodes import Map, Node, Scalar, refused
from bondwright.shelf.reading.scalars import as_items, as_map, fields, number, one_of, quantity

_WORST_CASE = ("worst_case", "act_on")
"""The word for the worst case, and the one that stood for it in packs that were published before."""
_LEVEL_FIELDS = (*_WORST_CASE, "lowest_possible")
_SIZE_FIELDS = (*_WORST_CASE, "lowest", "highest", "provisional")


def read_examples(node: Node, reach: Reach, *, of_remark: bool) -> tuple[Example, ...]:
    """The examples of a rule within `reach`, in file order; those of a remark may expect nothing of outcomes."""
    examples = tuple(_example(item, reach) for item in as_items(node, "`examples`"))
    for example in examples:
        if not example.expect and not of_remark:
            raise refused(example.place, "the example expects nothing; name an outcome")
    return examples


def _example(node: Node, reach: Reach) -> Example:
    entries = fields(node, "an example", ("given", "expect"))
    given = as_map(entries["given"], "`given`")
    expect = as_map(entries["expect"], "`expect`")
    return Example(
        given={name: _given(key, given.entries[name], reach) for name, key in given.keys.items()},
        expect=tuple(pair for name, key in expect.keys.items() for pair in _expected(key, expect.entries[name], reach)),
        place=node.place,
    )


def _given(key: Scalar, node: Node, reach: Reach) -> FactValue:
    found = reach.fact_or_outcome(key)
    if isinstance(found, Outcome):
        if not found.levels:
            return _exactly(quantity(node, found.unit, f"`{key.text}`"))
        return _exactly(float(found.levels.index(one_of(node, found.levels, f"level of `{key.text}`"))))
    if isinstance(node, Scalar) and node.text == UNKNOWN:
        return found.unknown()
    if found.kind != "number":
        return one_of(node, (YES, NO, UNKNOWN) if found.kind == "yes_no" else (*found.choices, UNKNOWN), f"value of `{key.text}`")
    value = quantity(node, found.unit, f"`{key.text}`")
    if not found.lowest <= value <= found.highest:
        raise refused(
            node.place, f"{value:g} {found.unit} is outside the range of `{key.text}`, {found.lowest:g} to {found.highest:g} {found.unit}"
        )
    return _exactly(value)


def _exactly(value: float) -> Between:
    return Between(value, value)


def _expected(key: Scalar, node: Node, reach: Reach) -> tuple[tuple[str, str], ...]:
    outcomes = reach.vocabulary.outcomes
    outcome = outcomes[one_of(key, (name for name in outcomes if outcomes[name].of == reach.of), f"outcome of `{reach.of}`")]
    if not isinstance(node, Map):
        return ((outcome.name, _value(outcome, node)),)
    values = _LEVEL_FIELDS if outcome.levels else _SIZE_FIELDS
    entries = fields(node, "an expectation", (), (*values, "firm"))
    return tuple(
        (outcome.name if name in _WORST_CASE else f"{outcome.name}.{name}", _field(outcome, name, entry)) for name, entry in entries.items()
    )


def _field(outcome: Outcome, name: str, node: Node) -> str:
    if name == "firm":
        return one_of(node, (YES, NO), "value of `firm`")
    if name == "provisional" and isinstance(node, Scalar) and node.text == "none":
        return node.text
    return _value(outcome, node)


def _value(outcome: Outcome, node: Node) -> str:
    if outcome.levels:
        return one_of(node, outcome.levels, f"level of `{outcome.name}`")
    return str(number(node, f"`{outcome.name}`"))

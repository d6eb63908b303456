"""Tables of single tests: what each cell says about each kind of knowledge."""

import pytest

from bondwright.engine.columns import Column, cells_reader
from bondwright.errors import EngineFault
from bondwright.rulebook.condition import Operator, Test
from bondwright.rulebook.facts import Between, Facts

COPPER_OR_STEEL = Test("material", "is", ("copper", "steel"))


def cell_of(test: Test, facts: Facts, denied: bool = False) -> int:
    (cell,) = cells_reader([Column(test, denied)])(facts)
    return cell


@pytest.mark.parametrize(("value", "cell"), [("copper", 2), ("steel", 2), ("plastic", 0), ("unknown", 1)])
def test_a_choice_holds_fails_or_is_unknown(value: str, cell: int) -> None:
    assert cell_of(COPPER_OR_STEEL, {"material": value}) == cell


@pytest.mark.parametrize(("value", "cell"), [("copper", 0), ("plastic", 2), ("unknown", 1)])
def test_a_denied_choice_is_the_opposite_and_unknown_stays_unknown(value: str, cell: int) -> None:
    assert cell_of(COPPER_OR_STEEL, {"material": value}, denied=True) == cell


@pytest.mark.parametrize(
    ("operator", "below", "at", "above", "across", "up_to", "from_there"),
    [
        ("at_least", 0, 2, 2, 1, 1, 2),
        ("above", 0, 0, 2, 1, 0, 1),
        ("at_most", 2, 2, 0, 1, 2, 1),
        ("below", 2, 0, 0, 1, 1, 0),
    ],
)
def test_a_range_against_five_is_decided_only_when_all_of_it_is_on_one_side(
    operator: Operator, below: int, at: int, above: int, across: int, up_to: int, from_there: int
) -> None:
    ranges = [Between(1, 4), Between(5, 5), Between(6, 9), Between(4, 6), Between(4, 5), Between(5, 6)]

    cells = [cell_of(Test("length", operator, 5.0), {"length": length}) for length in ranges]

    assert cells == [below, at, above, across, up_to, from_there]


@pytest.mark.parametrize("operator", ["at_least", "above", "at_most", "below"])
@pytest.mark.parametrize("ends", [(1, 4), (5, 5), (6, 9), (4, 6), (4, 5), (5, 6)])
def test_a_denied_comparison_is_two_less_the_comparison(operator: Operator, ends: tuple[float, float]) -> None:
    test, facts = Test("length", operator, 5.0), {"length": Between(*ends)}

    assert cell_of(test, facts, denied=True) == 2 - cell_of(test, facts)


@pytest.mark.parametrize(
    ("other", "cell"), [(Between(1, 4), 2), (Between(4, 5), 2), (Between(4, 6), 1), (Between(6, 7), 1), (Between(8, 9), 0)]
)
def test_a_number_is_compared_with_the_range_of_another_fact(other: Between, cell: int) -> None:
    assert cell_of(Test("reading", "at_least", "limit"), {"reading": Between(5, 7), "limit": other}) == cell


def test_an_unknown_number_does_not_equal_itself() -> None:
    assert cell_of(Test("length", "at_least", "length"), {"length": Between(1, 2)}) == 1


def aside(test: Test, facts: Facts, *, evidence: set[str], denied: bool = False) -> tuple[int, int]:
    """The cell of a column that may be set aside: read like any other, and set aside."""
    column = Column(test, denied, aside=True)
    (cell,), (kept,) = cells_reader([column])(facts), cells_reader([column], evidence)(facts)
    return cell, kept


@pytest.mark.parametrize("denied", [False, True])
@pytest.mark.parametrize(("value", "cells"), [("copper", (2, 2)), ("plastic", (0, 0)), ("unknown", (1, 0))])
def test_an_unknown_choice_counts_as_false_where_it_is_set_aside(value: str, cells: tuple[int, int], denied: bool) -> None:
    found = aside(COPPER_OR_STEEL, {"material": value}, evidence={"material"}, denied=denied)

    assert found == (tuple(2 - cell for cell in cells) if denied and value != "unknown" else cells)


@pytest.mark.parametrize(("ends", "cells"), [((1, 4), (0, 0)), ((4, 6), (1, 0)), ((5, 9), (2, 2)), ((4, 5), (1, 0))])
def test_an_undecided_comparison_counts_as_false_where_it_is_set_aside(ends: tuple[float, float], cells: tuple[int, int]) -> None:
    assert aside(Test("reading", "at_least", 5.0), {"reading": Between(*ends)}, evidence={"reading"}) == cells


@pytest.mark.parametrize(
    ("limit", "cells"),
    [
        (Between(1, 5), (2, 2)),
        (Between(5, 6), (1, 1)),  # 5 would be reached by all of the reading
        (Between(5.1, 6), (1, 0)),
        (Between(5.1, 7), (1, 0)),
        (Between(7.1, 9), (0, 0)),
    ],
)
def test_evidence_is_not_set_aside_where_an_open_limit_could_still_decide_it(limit: Between, cells: tuple[int, int]) -> None:
    row: Facts = {"reading": Between(5, 7), "limit": limit}

    assert aside(Test("reading", "at_least", "limit"), row, evidence={"reading"}) == cells


@pytest.mark.parametrize(("limit", "cells"), [(Between(6.9, 7), (1, 0)), (Between(6.9, 7.1), (1, 1))])
def test_a_denied_comparison_is_open_where_a_limit_could_decide_it_the_other_way(limit: Between, cells: tuple[int, int]) -> None:
    row: Facts = {"reading": Between(5, 7), "limit": limit}

    assert aside(Test("reading", "at_least", "limit"), row, evidence={"reading"}, denied=True) == cells


def test_a_limit_that_is_evidence_itself_keeps_nothing_open() -> None:
    row: Facts = {"reading": Between(5, 7), "limit": Between(5, 6)}

    assert aside(Test("reading", "at_least", "limit"), row, evidence={"reading", "limit"}) == (1, 0)


def test_other_columns_of_the_same_fact_are_not_set_aside() -> None:
    test = Test("reading", "at_least", 5.0)

    cells = cells_reader([Column(test), Column(test, aside=True)], {"reading"})({"reading": Between(4, 6)})

    assert cells == bytes([1, 0])


def test_a_row_holds_one_byte_for_each_column_in_order() -> None:
    columns = [Column(COPPER_OR_STEEL), Column(COPPER_OR_STEEL, denied=True), Column(Test("length", "above", 1.0))]

    cells = cells_reader(columns)({"material": "copper", "length": Between(0, 2)})

    assert cells == bytes([2, 0, 1])


@pytest.mark.parametrize("row", [{}, {"material": Between(1, 1)}])
def test_a_choice_that_is_missing_or_a_number_is_a_fault(row: dict[str, str | Between]) -> None:
    with pytest.raises(EngineFault, match="`material` is tested as a choice"):
        cell_of(COPPER_OR_STEEL, row)


@pytest.mark.parametrize("row", [{}, {"length": "unknown"}])
def test_a_number_that_is_missing_or_text_is_a_fault(row: dict[str, str | Between]) -> None:
    with pytest.raises(EngineFault, match="`length` is compared as a number"):
        cell_of(Test("length", "above", 1.0), row)

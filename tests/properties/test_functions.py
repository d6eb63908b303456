"""Conditions as functions say what the plain reader says, at every limit and with every fact known or not."""

import pytest
from hypothesis import given, settings
from tests.properties.judged import pack
from tests.properties.rows import groups, rows

from bondwright.conclude.functions import reading
from bondwright.rulebook.condition import All, Any, Not, Test
from bondwright.rulebook.facts import Between, Facts
from bondwright.rulebook.meaning import truth


@pytest.mark.parametrize("group", groups(pack()), ids="/".join)
def test_functions_say_of_the_published_pack_what_the_plain_reader_says(group: tuple[str, str]) -> None:
    made = [(rule.when, reading(rule.when)) for rule in pack().rules_of(*group)]

    @settings(deadline=None, max_examples=60)
    @given(rows(pack(), *group))
    def agree(row: Facts) -> None:
        assert [truth(condition, row) for condition, _ in made] == [reads(row) for _, reads in made]

    agree()


@pytest.mark.parametrize("condition", [All(()), Any(()), Not(All(())), All((Any(()), All(())))])
def test_empty_conditions_hold_as_the_plain_reader_says(condition: All | Any | Not) -> None:
    assert truth(condition, {}) == reading(condition)({})


@pytest.mark.parametrize("operator", ["at_least", "above", "at_most", "below"])
@pytest.mark.parametrize("limit", [5.0, "other"])
def test_numbers_are_compared_as_the_plain_reader_compares_them(operator: str, limit: float | str) -> None:
    test = Test("number", operator, limit)  # type: ignore[arg-type]  # the four that compare numbers
    ends = [4.0, 5.0, 6.0]
    ranges = [Between(low, high) for low in ends for high in ends if low <= high]

    for ours in ranges:
        for theirs in ranges:
            row = {"number": ours, "other": theirs}
            assert truth(test, row) == reading(test)(row)

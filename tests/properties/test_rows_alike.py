"""Rows that no rule can tell apart: what is concluded of one, and what could still move it, is that of the other, worked out by itself."""

from bisect import bisect_left
from collections.abc import Collection

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.properties.judged import pack
from tests.properties.rows import facts_alone

from bondwright.conclude.alike import alike
from bondwright.conclude.concluding import plainly
from bondwright.conclude.reasoning import Reasoning
from bondwright.conclude.what_if import Answers
from bondwright.rulebook import condition
from bondwright.rulebook.facts import Between, Facts, FactValue
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.sizing import tables_in

KINDS = tuple(dict.fromkeys(rule.of for rule in pack().rules))
READ = {fact for rule in pack().rules for fact in pack().reads(rule)} | pack().outcomes.keys()
TESTS = tuple(dict.fromkeys((rule.of, test) for rule in pack().rules for test in condition.tests_in(rule.when)))
COMPARED = [(of, test.fact, test.operand) for of, test in TESTS if isinstance(test.operand, float) and test.fact in pack().facts]
LIMITS = sorted({test.operand for _, test in TESTS if isinstance(test.operand, float)})


def moved(value: float) -> float:
    """Another number that lies among all limits as this one does, and among all such numbers in the same order."""
    if value in LIMITS:
        return value
    place = bisect_left(LIMITS, value)
    low = LIMITS[place - 1] if place else -1.0
    if place == len(LIMITS):
        return low + (value - low) * 2
    share = (value - low) / (LIMITS[place] - low)
    return low + (LIMITS[place] - low) * share * (1 + share) / 2


def compared_with(some: Collection[str]) -> set[str]:
    """Some numbers and all that are compared with one of them, or with one that is: several may be compared with the same."""
    pairs = [{test.operand, test.fact} for _, test in TESTS if isinstance(test.operand, str)]
    found = set(some)
    while more := [pair for pair in pairs if pair & found and not pair <= found]:
        found |= set().union(*more)
    return found


def with_other_numbers(row: Facts) -> Facts:
    """The row with other numbers where no size is worked out from them, nor compared with one that is."""
    kept = compared_with(READ)

    def other(name: str, value: FactValue) -> FactValue:
        return value if isinstance(value, str) or name in kept else Between(moved(value.lowest), moved(value.highest))

    return {name: other(name, value) for name, value in row.items()}


def told(row: Facts, of: str) -> object:
    """All that is concluded of a row, and the facts that could move it, with nothing remembered."""
    reasoning = Reasoning(pack(), plainly(pack()), Kept())
    (found,) = reasoning.conclude(of, [row])
    outcomes = [outcome for outcome in pack().outcomes.values() if outcome.of == of]
    moving = [reasoning.open_facts(found, outcome.name, "", tuple(row), Answers()) for outcome in outcomes]
    return found.levels, found.sizes, found.acts, moving, [reasoning.open_evidence(found, outcome.name) for outcome in outcomes]


@pytest.mark.parametrize("of", KINDS)
def test_rows_that_are_alike_come_to_the_same(of: str) -> None:
    like = alike(pack(), of)

    @settings(deadline=None, max_examples=40)
    @given(facts_alone(pack(), of))
    def same(row: Facts) -> None:
        other = with_other_numbers(row)
        assert like(row) == like(other)
        assert told(row, of) == told(other, of)

    same()


@pytest.mark.parametrize(("of", "fact", "limit"), COMPARED)
def test_no_rows_on_two_sides_of_a_limit_are_alike(of: str, fact: str, limit: float) -> None:
    row = {each.name: each.unknown() for each in pack().facts_of(of)}
    like = alike(pack(), of)

    found = {like({**row, fact: Between(number, number)}) for number in (limit * (1 - 1e-9), limit, limit * (1 + 1e-9))}

    assert len(found) == 3


@pytest.mark.parametrize("of", KINDS)
def test_what_is_remembered_of_a_row_is_told_of_those_alike_with_their_own_facts(of: str) -> None:
    reasoning = Reasoning(pack(), plainly(pack()), Kept())

    @settings(deadline=None, max_examples=20)
    @given(facts_alone(pack(), of), st.booleans())
    def own(row: Facts, other_first: bool) -> None:
        other = with_other_numbers(row)
        one, two = reasoning.conclude(of, [other, row] if other_first else [row, other])
        mine = two if other_first else one
        assert mine.alike is (one if other_first else two).alike
        assert {name: mine.facts[name] for name in row} == row
        assert {name: mine.certain[name] for name in row} == row

    own()


def looked_up(of: str) -> list[str]:
    """The tables that rules about a kind of subject look up."""
    return sorted({table.table_id for rule in pack().rules if rule.of == of and rule.form for table in tables_in(rule.form, pack().tables)})


LOOKED_UP = {of: names for of in KINDS if (names := looked_up(of))}
LOOKED_UP_OF = {table_id: next(of for of, names in LOOKED_UP.items() if table_id in names) for table_id in pack().tables}
"""The kind of subject whose rules look up each table."""
IN_TABLES = {
    of: sorted({pack().tables[name].reads for name in names} & {fact.name for fact in pack().facts_of(of)})
    for of, names in LOOKED_UP.items()
}


@pytest.mark.parametrize("of", LOOKED_UP)
def test_rows_of_which_a_table_says_the_same_come_to_the_same(of: str) -> None:
    like, met = alike(pack(), of), [0, 0]

    @settings(deadline=None, max_examples=100)
    @given(facts_alone(pack(), of), st.sampled_from(IN_TABLES[of]), st.sampled_from((0.9, 0.99, 1.01, 1.1)))
    def same(row: Facts, name: str, by: float) -> None:
        value = row[name]
        assert isinstance(value, Between)
        other = {**row, name: Between(value.lowest * by, value.highest * by)}
        are_alike = like(row) == like(other)
        met[are_alike] += row != other
        assert not are_alike or told(row, of) == told(other, of)

    same()
    assert all(met)


@pytest.mark.parametrize("table_id", pack().tables)
def test_numbers_are_alike_within_a_row_of_a_table_and_not_beyond_its_limit(table_id: str) -> None:
    table = pack().tables[table_id]
    of = LOOKED_UP_OF[table.table_id]
    like, unknown = alike(pack(), of), pack().unknown_of(of)

    def at(value: float) -> object:
        return like({**unknown, table.reads: Between(value, value)})

    for row, following in zip(table.rows, table.rows[1:], strict=False):
        assert row.up_to is not None
        assert at(row.up_to - 0.001) == at(row.up_to - 0.002)
        assert at(row.up_to) != at(row.up_to + 0.001) or row.use == following.use


def test_what_an_end_of_a_number_comes_to_tells_rows_apart() -> None:
    table = next(iter(pack().tables.values()))
    of = LOOKED_UP_OF[table.table_id]
    like, unknown = alike(pack(), of), pack().unknown_of(of)
    first, second = (row.up_to for row in table.rows[:2])
    assert first is not None and second is not None

    from_first, from_second = (like({**unknown, table.reads: Between(low, second * 2)}) for low in (first, second))

    assert from_first != from_second

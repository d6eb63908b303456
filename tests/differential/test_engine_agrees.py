"""The engine alone against the plain reader, over generated rules and rows."""

import random
from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.differential.build import CHOICES, COMPARISONS, NUMBER_FACTS, NUMBERS, TEXT_FACTS, random_facts, random_rules, rule

from bondwright.engine.columns import cells_reader
from bondwright.engine.compiled import MOST_COLUMNS_OF_A_SHARD, compiled
from bondwright.engine.durable import DurableChannel
from bondwright.rulebook import meaning
from bondwright.rulebook.condition import All, Any, Condition, Not, Test
from bondwright.rulebook.facts import UNKNOWN, Between, Facts
from bondwright.rulebook.rule import Polarity, Rule

choice_tests = st.builds(
    lambda fact, values: Test(fact, "is", tuple(sorted(values))),
    st.sampled_from(TEXT_FACTS),
    st.sets(st.sampled_from(CHOICES), min_size=1),
)
number_tests = st.builds(
    Test, st.sampled_from(NUMBER_FACTS), st.sampled_from(COMPARISONS), st.sampled_from(NUMBERS) | st.sampled_from(NUMBER_FACTS)
)


def joined(inner: st.SearchStrategy[Condition]) -> st.SearchStrategy[Condition]:
    members = st.lists(inner, max_size=3).map(tuple)
    return st.builds(All, members) | st.builds(Any, members) | st.builds(Not, inner)


# Ten leaves spread to at most 36 alternatives, so no generated rule is refused.
conditions: st.SearchStrategy[Condition] = st.recursive(choice_tests | number_tests, joined, max_leaves=10)
ranges = st.tuples(st.sampled_from(NUMBERS), st.sampled_from(NUMBERS)).map(lambda ends: Between(min(ends), max(ends)))
rows = st.fixed_dictionaries({fact: st.sampled_from((*CHOICES, UNKNOWN)) for fact in TEXT_FACTS} | dict.fromkeys(NUMBER_FACTS, ranges))


def engine_alone(rules: Sequence[Rule], facts: Sequence[Facts]) -> list[frozenset[str]]:
    plan = compiled(rules)
    channel = DurableChannel(plan)
    try:
        return channel(list(map(cells_reader(plan.columns), facts)))
    finally:
        channel.close()


@settings(max_examples=300, deadline=None)
@given(st.lists(st.tuples(conditions, st.sampled_from(Polarity)), min_size=1, max_size=12), st.lists(rows, min_size=1, max_size=8))
def test_the_engine_alone_says_what_the_plain_reader_says(members: list[tuple[Condition, Polarity]], facts: list[Facts]) -> None:
    rules = [rule(f"r{number}", when, polarity) for number, (when, polarity) in enumerate(members)]

    fired = engine_alone(rules, facts)

    assert fired == [meaning.acting(rules, row) for row in facts]


@pytest.mark.parametrize(("count", "subjects"), [(1, 1), (40, 450), (64, 10), (150, 60), (400, 201)])
def test_the_engine_alone_agrees_on_many_rules_and_many_rows(count: int, subjects: int) -> None:
    rng = random.Random(f"{count} rules, {subjects} rows")
    rules, facts = random_rules(rng, count), [random_facts(rng) for _ in range(subjects)]

    fired = engine_alone(rules, facts)

    assert fired == [meaning.acting(rules, row) for row in facts]


def test_the_many_rules_fire_often_enough_to_prove_something() -> None:
    rng = random.Random("400 rules, 201 rows")
    rules, facts = random_rules(rng, 400), [random_facts(rng) for _ in range(201)]

    share = sum(len(meaning.acting(rules, row)) for row in facts) / (400 * 201)

    assert 0.2 < share < 0.8


def test_the_engine_bears_a_row_of_as_many_columns_as_a_shard_may_have() -> None:
    tests = tuple(Test("length", "above", float(number)) for number in range(MOST_COLUMNS_OF_A_SHARD))
    rules = [rule("all", All(tests))] + [rule(f"r{number}", All(tests[number : number + 140]), Polarity.RELAXES) for number in range(60)]
    facts: list[Facts] = [{"length": Between(ends[0], ends[1])} for ends in [(0, 0), (50, 60), (150, 150), (170, 300), (500, 500)]]

    fired = engine_alone(rules, facts)

    assert fired == [meaning.acting(rules, row) for row in facts]


def test_one_channel_answers_a_thousand_batches_without_carrying_rows_over() -> None:
    rng = random.Random("a thousand batches")
    rules = random_rules(rng, 20)
    plan = compiled(rules)
    channel, cells = DurableChannel(plan), cells_reader(plan.columns)
    batches = [[random_facts(rng) for _ in range(rng.randint(1, 6))] for _ in range(1000)]

    fired = [channel([cells(row) for row in batch]) for batch in batches]
    channel.close()

    assert fired == [[meaning.acting(rules, row) for row in batch] for batch in batches]


def test_no_rows_give_no_answers() -> None:
    assert engine_alone([rule("a", Test("length", "above", 1.0))], []) == []

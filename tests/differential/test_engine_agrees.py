"""The engine alone against the plain reader, over generated rules and rows."""

import random
from collections.abc import Sequence
from typing import TypeAlias

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.differential.build import (
    CHOICES,
    COMPARISONS,
    NUMBER_FACTS,
    NUMBERS,
    TEXT_FACTS,
    random_evidence,
    random_facts,
    random_rows,
    random_rules,
    rule,
)

from bondwright.engine.columns import cells_reader
from bondwright.engine.compiled import MOST_COLUMNS_OF_A_SHARD, compiled
from bondwright.engine.durable import DurableChannel
from bondwright.engine.group import Group
from bondwright.rulebook import meaning
from bondwright.rulebook.condition import All, Any, Condition, Not, Test
from bondwright.rulebook.facts import UNKNOWN, Between, Facts
from bondwright.rulebook.meaning import Acts
from bondwright.rulebook.rule import Polarity, Rule

Row: TypeAlias = tuple[Facts, Facts]
"""What is known and what is certain of one subject."""

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


def engine_alone(rules: Sequence[Rule], rows: Sequence[Row], evidence: frozenset[str] = frozenset()) -> list[Acts]:
    group = Group(rules, evidence, DurableChannel)
    try:
        return [Acts(*sets) for sets in group.fired([group.situation(known, certain) for known, certain in rows])]
    finally:
        group.close()


def plain_reader(rules: Sequence[Rule], rows: Sequence[Row], evidence: frozenset[str] = frozenset()) -> list[Acts]:
    return [meaning.acts(rules, known, certain, evidence) for known, certain in rows]


@settings(max_examples=400, deadline=None)
@given(
    st.lists(st.tuples(conditions, st.sampled_from(Polarity)), min_size=1, max_size=12),
    st.lists(st.tuples(rows, rows) | rows.map(lambda row: (row, row)), min_size=1, max_size=8),
    st.frozensets(st.sampled_from((*TEXT_FACTS, *NUMBER_FACTS))),
)
def test_the_engine_alone_says_what_the_plain_reader_says(
    members: list[tuple[Condition, Polarity]], some: list[Row], evidence: frozenset[str]
) -> None:
    rules = [rule(f"r{number}", when, polarity) for number, (when, polarity) in enumerate(members)]

    fired = engine_alone(rules, some, evidence)

    assert fired == plain_reader(rules, some, evidence)


@pytest.mark.parametrize(("count", "subjects"), [(1, 1), (40, 450), (64, 10), (150, 60), (400, 201)])
def test_the_engine_alone_agrees_on_many_rules_and_many_rows(count: int, subjects: int) -> None:
    rng = random.Random(f"{count} rules, {subjects} rows")
    rules, some, evidence = random_rules(rng, count), [random_rows(rng) for _ in range(subjects)], random_evidence(rng)

    fired = engine_alone(rules, some, evidence)

    assert fired == plain_reader(rules, some, evidence)


def test_the_many_rules_fire_and_differ_often_enough_to_prove_something() -> None:
    rng = random.Random("400 rules, 201 rows")
    rules, some, evidence = random_rules(rng, 400), [random_rows(rng) for _ in range(201)], random_evidence(rng)

    read = plain_reader(rules, some, evidence)

    for sets in ("worst_case", "certain", "lowest"):
        assert 0.2 < sum(len(getattr(one, sets)) for one in read) / (400 * 201) < 0.8
    alike = [one for one, (known, certain) in zip(read, some, strict=True) if known is certain]
    assert sum(len(one.lowest - one.certain) for one in alike) > 100  # where evidence was set aside


def test_the_engine_bears_a_row_of_as_many_columns_as_a_shard_may_have() -> None:
    tests = tuple(Test("length", "above", float(number)) for number in range(MOST_COLUMNS_OF_A_SHARD))
    rules = [rule("all", All(tests))] + [rule(f"r{number}", All(tests[number : number + 140]), Polarity.RELAXES) for number in range(60)]
    lengths: list[Facts] = [{"length": Between(ends[0], ends[1])} for ends in [(0, 0), (50, 60), (150, 150), (170, 300), (500, 500)]]
    some = [(known, certain) for known in lengths for certain in lengths]

    fired = engine_alone(rules, some, frozenset({"length"}))

    assert fired == plain_reader(rules, some, frozenset({"length"}))


def test_one_channel_answers_a_thousand_batches_without_carrying_rows_over() -> None:
    rng = random.Random("a thousand batches")
    rules = random_rules(rng, 20)
    plan = compiled(rules)
    channel, cells = DurableChannel(plan), cells_reader(plan.columns)
    batches = [[random_facts(rng) for _ in range(rng.randint(1, 6))] for _ in range(1000)]

    fired = [[one.at_worst for one in channel([cells(row) for row in batch])] for batch in batches]
    channel.close()

    assert fired == [[meaning.acting(rules, row) for row in batch] for batch in batches]


def test_no_rows_give_no_answers() -> None:
    assert engine_alone([rule("a", Test("length", "above", 1.0))], []) == []

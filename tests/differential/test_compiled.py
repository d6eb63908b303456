"""Compiling: conjunctions, shards and the limits that are refused."""

import pytest
from tests.differential.build import rule

from bondwright.engine.columns import Column
from bondwright.engine.compiled import Demand, compiled
from bondwright.errors import EngineFault
from bondwright.rulebook.condition import All, Any, Not, Test
from bondwright.rulebook.rule import Polarity

ONE, TWO, THREE = (Test("material", "is", (choice,)) for choice in ("copper", "plastic", "steel"))


def comparisons(count: int, first: int = 0) -> tuple[Test, ...]:
    return tuple(Test("length", "above", float(number)) for number in range(first, first + count))


@pytest.mark.parametrize(
    ("polarity", "at_worst", "at_least"),
    [
        (Polarity.RAISES, 1, 2),
        (Polarity.BLOCKS, 1, 2),
        (Polarity.SIZES, 1, 2),
        (Polarity.RELAXES, 2, 1),
    ],
)
def test_the_polarity_sets_how_certain_a_demand_must_be_at_worst_and_at_least(polarity: Polarity, at_worst: int, at_least: int) -> None:
    demands = compiled([rule("a", ONE, polarity)]).shards[0].demands

    assert demands == (Demand(at_worst, (0,), ("a",), ()), Demand(at_least, (0,), (), ("a",)))


@pytest.mark.parametrize("polarity", [Polarity.PROVIDES, Polarity.REMARKS])
def test_what_only_adds_a_sentence_or_a_provisional_size_must_be_certain_in_either_world(polarity: Polarity) -> None:
    assert compiled([rule("a", ONE, polarity)]).shards[0].demands == (Demand(2, (0,), ("a",), ("a",)),)


def test_a_relaxing_rules_tests_of_evidence_are_columns_of_their_own() -> None:
    rules = [rule("a", All((ONE, Test("length", "above", 1.0))), Polarity.RELAXES), rule("b", ONE), rule("c", Not(ONE), Polarity.RELAXES)]

    plan = compiled(rules, frozenset({"material"}))

    length = Column(Test("length", "above", 1.0))
    assert plan.columns == (length, Column(ONE), Column(ONE, denied=True), Column(ONE, aside=True), Column(ONE, denied=True, aside=True))
    positions = {rule_id: demand.positions for demand in plan.shards[0].demands for rule_id in demand.at_least}
    assert positions == {"a": (0, 3), "b": (1,), "c": (4,)}
    assert {rule_id: demand.positions for demand in plan.shards[0].demands for rule_id in demand.at_worst} == {
        "a": (0, 1),
        "b": (1,),
        "c": (2,),
    }


def test_without_evidence_no_column_may_be_set_aside() -> None:
    plan = compiled([rule("a", All((ONE, TWO)), Polarity.RELAXES), rule("b", THREE)], frozenset({"length"}))

    assert plan.columns == (Column(ONE), Column(TWO), Column(THREE))


def test_a_denial_is_pushed_down_to_the_tests() -> None:
    plan = compiled([rule("a", Not(Any((ONE, Not(TWO)))))])

    assert (plan.columns, plan.shards[0].demands) == (
        (Column(ONE, denied=True), Column(TWO)),
        (Demand(1, (0, 1), ("a",), ()), Demand(2, (0, 1), (), ("a",))),
    )


def test_alternatives_become_one_demand_each() -> None:
    plan = compiled([rule("a", All((ONE, Any((TWO, THREE)))))])

    assert [demand.positions for demand in plan.shards[0].demands if demand.at_worst] == [(0, 1), (0, 2)]


def test_equal_demands_of_two_rules_are_merged() -> None:
    plan = compiled([rule("a", All((ONE, TWO))), rule("b", All((TWO, ONE, TWO)))])

    assert plan.shards[0].demands == (Demand(1, (0, 1), ("a", "b"), ()), Demand(2, (0, 1), (), ("a", "b")))


def test_an_empty_all_always_acts_and_asks_nothing_of_the_engine() -> None:
    plan = compiled([rule("a", All(()), Polarity.RELAXES), rule("b", Any((ONE, Not(Any(())))))])

    assert (plan.always, plan.columns, plan.shards) == (frozenset({"a", "b"}), (), ())


def test_an_empty_any_never_acts_and_asks_nothing_of_the_engine() -> None:
    plan = compiled([rule("a", Any(())), rule("b", All((ONE, Any(()))))])

    assert (plan.always, plan.columns, plan.shards) == (frozenset(), (), ())


def test_a_shard_holds_at_most_63_demands() -> None:
    plan = compiled([rule(f"r{number}", test) for number, test in enumerate(comparisons(130))])

    assert [len(shard.demands) for shard in plan.shards] == [63, 63, 63, 63, 8]


def test_a_shard_holds_at_most_200_columns_and_only_its_own() -> None:
    plan = compiled([rule(f"r{number}", All(comparisons(90, first=90 * number))) for number in range(3)])

    assert [shard.columns for shard in plan.shards] == [tuple(range(180)), tuple(range(180, 270))]


def test_a_rule_of_63_alternatives_is_taken() -> None:
    assert len(compiled([rule("a", Any(comparisons(63)), Polarity.REMARKS)]).shards[0].demands) == 63


def test_a_rule_of_64_alternatives_is_refused_by_name() -> None:
    with pytest.raises(EngineFault, match="rule `a` spreads to 64 or more alternatives"):
        compiled([rule("a", Any(comparisons(64)))])


def test_alternatives_that_multiply_are_refused_before_they_fill_the_memory() -> None:
    with pytest.raises(EngineFault, match="rule `a` spreads"):
        compiled([rule("a", All(tuple(Any(comparisons(60, first=60 * number)) for number in range(9))))])


def test_a_rule_that_joins_200_tests_is_taken() -> None:
    assert len(compiled([rule("a", All(comparisons(200)))]).columns) == 200


def test_a_rule_that_joins_201_tests_is_refused_by_name() -> None:
    with pytest.raises(EngineFault, match="rule `a` joins 201 tests"):
        compiled([rule("a", All(comparisons(201)))])

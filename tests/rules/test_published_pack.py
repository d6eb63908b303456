"""The published pack: up to date, locked, every rule shown by examples on both sides, and never less cautious for knowing less."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.properties.rows import fact_values, facts_alone

from bondwright.evaluate.reasoning.stages import Subject, run_stages, subject
from bondwright.rulebook import condition, meaning
from bondwright.rulebook.facts import Between, Facts, FactValue
from bondwright.rulebook.pack import NamedValue, RulePack
from bondwright.rulebook.rule import Example, Polarity, Rule
from bondwright.rulebook.sizing import LimitsTable
from bondwright.shelf.packs import LOCK, consolidate, published_packs, rules_folder

EDITION = "bs7671/2018-a4"
MOST_WORDS = 30
JUST_PAST = 0.025
"""How far past a limit, as a share of it, an example may lie to show the other side."""

PACK = published_packs(rules_folder())[-1]
SHOWN = [rule for rule in PACK.rules if rule.polarity is not Polarity.REMARKS]
SOURCED: tuple[Rule | NamedValue | LimitsTable, ...] = (*PACK.rules, *PACK.values.values(), *PACK.tables.values())
EXAMPLES = [(rule, example) for rule in PACK.rules for example in rule.examples]
CAUTIOUS_LAW = settings(deadline=None, max_examples=150, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])


def name(value: object) -> str:
    """What a case is called: the rule's id, with the line of the example or the test in question."""
    match value:
        case Rule(rule_id=rule_id):
            return rule_id
        case Example(place=place):
            return f"line {place.line}"
        case condition.Test(fact, operator, operand):
            return f"{fact} {operator} {operand}"
    return str(value)


def by_the_plain_reader(stage: str, of: str, rows: Sequence[Facts]) -> list[frozenset[str]]:
    """The acting rules of each row, read without the engine."""
    return [meaning.acting(PACK.rules_of(stage, of), row) for row in rows]


def concluded(of: str, given: Facts, last: str) -> Subject:
    """A subject with `given` facts, the rest unknown, after every stage up to `last`; outcomes in `given` stand as given."""
    facts = {fact: value for fact, value in given.items() if fact in PACK.facts}
    outcomes = {fact: value for fact, value in given.items() if fact in PACK.outcomes}
    one = subject(PACK, of, "example", "", facts, {})
    for stage in PACK.stages[: PACK.stages.index(last) + 1]:
        (one,) = run_stages(replace(PACK, stages=(stage,)), of, [one], by_the_plain_reader)
        told = {fact: value for fact, value in outcomes.items() if PACK.outcomes[fact].stage == stage and stage != last}
        one = replace(one, facts={**one.facts, **told}, settled={**one.settled, **told})
    return one


def found(one: Subject) -> dict[str, str]:
    """Everything that an example may expect of a subject, as examples write it."""
    told: dict[str, str] = {}
    for outcome, level in one.levels.items():
        ladder = PACK.outcomes[outcome].levels
        told |= {outcome: ladder[level.act_on], f"{outcome}.lowest_possible": ladder[min(level.lowest, level.act_on)]}
        told[f"{outcome}.firm"] = "yes" if level.settled >= level.act_on else "no"
    for outcome, size in one.sizes.items():
        worst = size.highest if PACK.outcomes[outcome].cautious == "larger" else size.lowest
        told |= {outcome: _number(worst), f"{outcome}.lowest": _number(size.lowest), f"{outcome}.highest": _number(size.highest)}
        told[f"{outcome}.provisional"] = "none" if size.provisional is None else _number(size.provisional)
        told[f"{outcome}.firm"] = "yes" if size.lowest == size.highest else "no"
    return told


def _number(value: float) -> str:
    return str(round(value, 4))


def acts(rule: Rule, example: Example) -> bool:
    """Whether the rule acts on the facts of an example."""
    return rule.rule_id in concluded(rule.of, example.given, rule.stage).acting


def test_the_published_pack_is_what_publishing_the_edited_files_gives() -> None:
    published = (rules_folder() / "published" / f"{PACK.pack_id}.yaml").read_bytes()

    assert published == consolidate(rules_folder(), EDITION), "the edited files moved on: publish again"


def test_the_lock_names_the_digest_of_the_published_pack() -> None:
    lines = (rules_folder() / LOCK).read_text().splitlines()

    assert [PACK.digest] == [line.split(" ")[1] for line in lines if line.startswith(f"{PACK.pack_id} ")]


@pytest.mark.parametrize(("rule", "example"), EXAMPLES, ids=name)
def test_an_example_comes_out_as_expected(rule: Rule, example: Example) -> None:
    one = concluded(rule.of, example.given, rule.stage)

    expected = dict(example.expect)
    assert expected == {key: found(one)[key] for key in expected}


@pytest.mark.parametrize("rule", SHOWN, ids=name)
def test_a_rule_acts_in_at_least_one_of_its_examples(rule: Rule) -> None:
    assert any(acts(rule, example) for example in rule.examples)


@pytest.mark.parametrize("rule", [rule for rule in SHOWN if rule.when != condition.All(())], ids=name)
def test_a_rule_with_a_condition_has_a_near_miss_on_which_it_stays_silent(rule: Rule) -> None:
    assert not all(acts(rule, example) for example in rule.examples)


def limits_tested(rule: Rule) -> Iterator[condition.Test]:
    """The tests of a rule that compare numbers, steps of a ladder left aside."""
    for test in condition.tests_in(rule.when):
        if test.operator != "is" and not (test.fact in PACK.outcomes and PACK.outcomes[test.fact].levels):
            yield test


def distances(example: Example, fact: str, limit: float | str) -> Iterator[float]:
    """How far the example's number lies from a limit, as a share of the limit; nothing where either is not given."""
    value = example.given.get(fact)
    against = example.given.get(limit) if isinstance(limit, str) else Between(limit, limit)
    if isinstance(value, Between) and isinstance(against, Between):
        yield (value.lowest - against.lowest) / (abs(against.lowest) or 1.0)


COMPARED = [(rule, test) for rule in SHOWN for test in limits_tested(rule)]


@pytest.mark.parametrize(("rule", "test"), COMPARED, ids=name)
def test_each_limit_of_a_rule_has_an_example_at_it_and_one_just_past_it(rule: Rule, test: condition.Test) -> None:
    assert not isinstance(test.operand, tuple)
    away = [distance for example in rule.examples for distance in distances(example, test.fact, test.operand)]

    below = test.operator in ("at_least", "below")
    past = [distance for distance in away if (-JUST_PAST <= distance < 0 if below else 0 < distance <= JUST_PAST)]
    assert (0.0 in away, bool(past)) == (True, True)


ROWS = [(table.table_id, row.up_to) for table in PACK.tables.values() for row in table.rows if row.up_to is not None]


@pytest.mark.parametrize(("table_id", "limit"), ROWS)
def test_each_row_of_a_table_has_an_example_at_its_limit_and_one_just_past_it(table_id: str, limit: float) -> None:
    reads = PACK.tables[table_id].reads
    rules = [rule for rule in PACK.rules if reads in PACK.reads(rule)]
    away = [distance for rule in rules for example in rule.examples for distance in distances(example, reads, limit)]

    assert (0.0 in away, any(0 < distance <= JUST_PAST for distance in away)) == (True, True)


def test_every_rule_value_and_table_cites_a_clause() -> None:
    assert all(one.clause.strip() for one in SOURCED)


@pytest.mark.parametrize("rule", PACK.rules, ids=name)
def test_a_rule_speaks_in_at_most_thirty_words(rule: Rule) -> None:
    assert len(rule.says.split()) <= MOST_WORDS


def test_at_most_a_third_of_rules_values_and_tables_rest_on_memory() -> None:
    counted = Counter(one.confidence for one in SOURCED)

    assert counted["from_memory"] * 3 <= counted.total()


KINDS = sorted({rule.of for rule in PACK.rules})


def revealed(draw: st.DataObject, pack: RulePack, held: Facts) -> Facts:
    """The row with one of its open facts known: a value in place of unknown, or a single number out of its range."""
    open_facts = [fact for fact, value in held.items() if value == "unknown" or (isinstance(value, Between) and not value.known)]
    if not open_facts:
        return held
    fact = draw.draw(st.sampled_from(open_facts))
    was = held[fact]
    value = draw.draw(fact_values(pack, pack.facts[fact]).filter(lambda value: _known_within(value, was)))
    return {**held, fact: value}


def _known_within(value: FactValue, was: FactValue) -> bool:
    if isinstance(value, str) or isinstance(was, str):
        return value != "unknown"
    return value.known and was.lowest <= value.lowest <= was.highest


def cautious_ends(one: Subject) -> Mapping[str, float]:
    """By outcome the level to act on, or the cautious end of a size; more is more cautious."""
    ends = {outcome: float(level.act_on) for outcome, level in one.levels.items()}
    for outcome, size in one.sizes.items():
        ends[outcome] = size.highest if PACK.outcomes[outcome].cautious == "larger" else -size.lowest
    return ends


@pytest.mark.parametrize("of", KINDS)
def test_knowing_one_fact_more_never_makes_the_rules_more_cautious(of: str) -> None:
    @CAUTIOUS_LAW
    @given(st.data(), facts_alone(PACK, of))
    def law(data: st.DataObject, held: Facts) -> None:
        told = revealed(data, PACK, held)

        before, after = (cautious_ends(concluded(of, row, PACK.stages[-1])) for row in (held, told))
        assert {outcome: (before[outcome], after[outcome]) for outcome in before if after[outcome] > before[outcome]} == {}

    law()


@pytest.mark.parametrize("of", KINDS)
def test_knowing_one_fact_that_is_no_evidence_never_moves_a_firm_level(of: str) -> None:
    @CAUTIOUS_LAW
    @given(st.data(), facts_alone(PACK, of))
    def law(data: st.DataObject, held: Facts) -> None:
        told = revealed(data, PACK, held)
        before, after = (concluded(of, row, PACK.stages[-1]).levels for row in (held, told))

        optional = any(PACK.facts[fact].evidence for fact in held if held[fact] != told[fact])
        moved = {outcome for outcome, level in before.items() if level.settled >= level.act_on != after[outcome].act_on}
        assert optional or moved == set()

    law()

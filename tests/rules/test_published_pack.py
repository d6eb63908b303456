"""Every published pack: up to date, locked, each rule shown by examples on both sides, and never less cautious for knowing less."""

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from functools import cache

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.properties.rows import fact_values, facts_alone
from tests.rules.revisions import first_and_newest, newest_revisions

from bondwright.conclude.concluding import begun, plainly, through
from bondwright.conclude.conclusion import Conclusion
from bondwright.members import replace
from bondwright.rulebook import condition
from bondwright.rulebook.because import draft_text
from bondwright.rulebook.facts import Between, Facts, FactValue
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.reference import NamedValue
from bondwright.rulebook.rule import Example, Polarity, Rule
from bondwright.rulebook.sizing import LimitsTable
from bondwright.shelf.packs import LOCK, consolidate, rules_folder

MOST_WORDS = 30
JUST_PAST = 0.025
"""How far past a limit, as a share of it, an example may lie to show the other side."""

PACKS = newest_revisions()


SAYING = first_and_newest()
RULES = [(pack, rule) for pack in SAYING for rule in pack.rules]
SHOWN = [(pack, rule) for pack, rule in RULES if rule.polarity is not Polarity.REMARKS]
EXAMPLES = [(pack, rule, example) for pack, rule in RULES for example in pack.examples_of(rule)]
CAUTIOUS_LAW = settings(deadline=None, max_examples=150, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])


def name(value: object) -> str:
    """What a case is called: the rule's id, with the line of the example or the test in question."""
    match value:
        case RulePack(pack_id=pack_id):
            return pack_id
        case Rule(rule_id=rule_id):
            return rule_id
        case Example(place=place):
            return f"line {place.line}"
        case condition.Test(fact, operator, operand):
            return f"{fact} {operator} {operand}"
    return str(value)


def sourced(pack: RulePack) -> tuple[Rule | NamedValue | LimitsTable, ...]:
    """Everything in a pack that rests on a source."""
    return (*pack.rules, *pack.values.values(), *pack.tables.values())


def concluded(pack: RulePack, of: str, given: Facts, last: str) -> Conclusion:
    """A subject with `given` facts, the rest unknown, after every stage up to `last`; outcomes in `given` stand as given."""
    facts = {fact: value for fact, value in given.items() if fact in pack.facts}
    outcomes = {fact: value for fact, value in given.items() if fact in pack.outcomes}
    one = begun(of, {fact.name: facts.get(fact.name, fact.unknown()) for fact in pack.facts_of(of)})
    for stage in pack.stages[: pack.stages.index(last) + 1]:
        (one,) = through(pack, [stage], [one], plainly(pack))
        told = {fact: value for fact, value in outcomes.items() if pack.outcomes[fact].stage == stage and stage != last}
        one = replace(one, facts={**one.facts, **told}, certain={**one.certain, **told})
    return one


def found(pack: RulePack, one: Conclusion) -> dict[str, str]:
    """Everything that an example may expect of a subject, as examples write it."""
    told: dict[str, str] = {}
    for outcome, level in one.levels.items():
        ladder = pack.outcomes[outcome].levels
        told |= {outcome: ladder[level.worst_case], f"{outcome}.lowest_possible": ladder[min(level.lowest, level.worst_case)]}
        told[f"{outcome}.firm"] = "yes" if level.certain >= level.worst_case else "no"
    for outcome, size in one.sizes.items():
        worst = size.highest if pack.outcomes[outcome].cautious == "larger" else size.lowest
        told |= {outcome: _number(worst), f"{outcome}.lowest": _number(size.lowest), f"{outcome}.highest": _number(size.highest)}
        told[f"{outcome}.provisional"] = "none" if size.provisional is None else _number(size.provisional)
        told[f"{outcome}.firm"] = "yes" if size.lowest == size.highest else "no"
    return told


def _number(value: float) -> str:
    return str(round(value, 4))


def acts(pack: RulePack, rule: Rule, example: Example) -> bool:
    """Whether the rule acts on the facts of an example."""
    return rule.rule_id in concluded(pack, rule.of, example.given, rule.stage).acts.worst_case


@pytest.mark.parametrize("pack", PACKS, ids=name)
def test_the_published_pack_is_what_publishing_the_edited_files_gives(pack: RulePack) -> None:
    published = (rules_folder() / "published" / f"{pack.pack_id}.yaml").read_bytes()

    *_, edited = published.decode().splitlines()[0].split()  # the first line names the files of the edition, its own last
    assert draft_text(published) == draft_text(consolidate(rules_folder(), edited.removesuffix(".yaml"))), (
        "the edited files moved on: publish again"
    )


@pytest.mark.parametrize("pack", PACKS, ids=name)
def test_the_lock_names_the_digest_of_the_published_pack(pack: RulePack) -> None:
    lines = (rules_folder() / LOCK).read_text().splitlines()

    assert [pack.digest] == [line.split(" ")[1] for line in lines if line.startswith(f"{pack.pack_id} ")]


@pytest.mark.parametrize(("pack", "rule", "example"), EXAMPLES, ids=name)
def test_an_example_comes_out_as_expected(pack: RulePack, rule: Rule, example: Example) -> None:
    one = concluded(pack, rule.of, example.given, rule.stage)

    expected = dict(example.expect)
    assert expected == {key: found(pack, one)[key] for key in expected}


@pytest.mark.parametrize(("pack", "rule"), SHOWN, ids=name)
def test_a_rule_acts_in_at_least_one_of_its_examples(pack: RulePack, rule: Rule) -> None:
    assert any(acts(pack, rule, example) for example in pack.examples_of(rule))


@pytest.mark.parametrize(("pack", "rule"), [(pack, rule) for pack, rule in SHOWN if rule.when != condition.All(())], ids=name)
def test_a_rule_with_a_condition_has_a_near_miss_on_which_it_stays_silent(pack: RulePack, rule: Rule) -> None:
    assert not all(acts(pack, rule, example) for example in pack.examples_of(rule))


def limits_tested(pack: RulePack, rule: Rule) -> Iterator[condition.Test]:
    """The tests of a rule that compare numbers, steps of a ladder left aside."""
    for test in condition.tests_in(rule.when):
        if test.operator != "is" and not (test.fact in pack.outcomes and pack.outcomes[test.fact].levels):
            yield test


def distances(example: Example, fact: str, limit: float | str) -> Iterator[float]:
    """How far the example's number lies from a limit, as a share of the limit; nothing where either is not given."""
    value = example.given.get(fact)
    against = example.given.get(limit) if isinstance(limit, str) else Between(limit, limit)
    if isinstance(value, Between) and isinstance(against, Between):
        yield (value.lowest - against.lowest) / (abs(against.lowest) or 1.0)


COMPARED = [(pack, rule, test) for pack, rule in SHOWN for test in limits_tested(pack, rule)]


@pytest.mark.parametrize(("pack", "rule", "test"), COMPARED, ids=[f"{name(rule)}-{name(test)}" for _, rule, test in COMPARED])
def test_each_limit_of_a_rule_has_an_example_at_it_and_one_just_past_it(pack: RulePack, rule: Rule, test: condition.Test) -> None:
    assert not isinstance(test.operand, tuple)
    away = [distance for example in pack.examples_of(rule) for distance in distances(example, test.fact, test.operand)]

    below = test.operator in ("at_least", "below")
    past = [distance for distance in away if (-JUST_PAST <= distance < 0 if below else 0 < distance <= JUST_PAST)]
    assert (0.0 in away, bool(past)) == (True, True)


ROWS = [
    (pack, table.table_id, row.up_to) for pack in SAYING for table in pack.tables.values() for row in table.rows if row.up_to is not None
]


@pytest.mark.parametrize(("pack", "table_id", "limit"), ROWS, ids=name)
def test_each_row_of_a_table_has_an_example_at_its_limit_and_one_just_past_it(pack: RulePack, table_id: str, limit: float) -> None:
    reads = pack.tables[table_id].reads
    rules = [rule for rule in pack.rules if reads in pack.reads(rule)]
    away = [distance for rule in rules for example in pack.examples_of(rule) for distance in distances(example, reads, limit)]

    assert (0.0 in away, any(0 < distance <= JUST_PAST for distance in away)) == (True, True)


@pytest.mark.parametrize("pack", PACKS, ids=name)
def test_every_rule_value_and_table_cites_a_clause(pack: RulePack) -> None:
    assert all(one.clause.strip() for one in sourced(pack))


@pytest.mark.parametrize("rule", [rule for _, rule in RULES], ids=name)
def test_a_rule_speaks_in_at_most_thirty_words(rule: Rule) -> None:
    assert len(rule.says.split()) <= MOST_WORDS


OF_PLACES = {
    found
    for path in (rules_folder() / "bs7671" / "places").glob("*.yaml")
    for found in re.findall(r"^  (?:- id: )?([\w-]+)", path.read_text("utf-8"), re.MULTILINE)
}
"""The names of what is said of special locations and further earthings, values and tables among them."""


def called(one: Rule | NamedValue | LimitsTable) -> str:
    """The name of a rule, value or table."""
    match one:
        case Rule(rule_id=found) | NamedValue(name=found) | LimitsTable(table_id=found):
            return found


@pytest.mark.parametrize("pack", PACKS, ids=name)
def test_at_most_half_of_rules_values_and_tables_rest_on_memory_and_a_third_of_those_on_ordinary_buildings(pack: RulePack) -> None:
    """Half, for the sections on special locations have fewer public sources than those on ordinary buildings; the first page says so."""
    counted = Counter(one.confidence for one in sourced(pack))
    ordinary = Counter(one.confidence for one in sourced(pack) if called(one) not in OF_PLACES)

    assert counted["from_memory"] * 2 <= counted.total()
    assert ordinary["from_memory"] * 3 <= ordinary.total() and ordinary.total() > 50


KINDS = [(pack, of) for pack in SAYING for of in sorted({rule.of for rule in pack.rules})]


@cache
def values_of(pack_id: str, fact: str) -> st.SearchStrategy[FactValue]:
    """Values of one fact of one of those packs; the same for every example."""
    pack = next(pack for pack in SAYING if pack.pack_id == pack_id)
    return fact_values(pack, pack.facts[fact])


def revealed(draw: st.DataObject, pack: RulePack, held: Facts) -> Facts:
    """The row with one of its open facts known: a value in place of unknown, or a single number out of its range."""
    open_facts = [fact for fact, value in held.items() if value == "unknown" or (isinstance(value, Between) and not value.known)]
    if not open_facts:
        return held
    fact = draw.draw(st.sampled_from(open_facts))
    was = held[fact]
    value = draw.draw(values_of(pack.pack_id, fact).filter(lambda value: _known_within(value, was)))
    return {**held, fact: value}


def _known_within(value: FactValue, was: FactValue) -> bool:
    if isinstance(value, str) or isinstance(was, str):
        return value != "unknown"
    return value.known and was.lowest <= value.lowest <= was.highest


def cautious_ends(pack: RulePack, one: Conclusion) -> Mapping[str, float]:
    """By outcome the level to act on, or the cautious end of a size; more is more cautious."""
    ends = {outcome: float(level.worst_case) for outcome, level in one.levels.items()}
    for outcome, size in one.sizes.items():
        ends[outcome] = size.highest if pack.outcomes[outcome].cautious == "larger" else -size.lowest
    return ends


@pytest.mark.parametrize(("pack", "of"), KINDS, ids=name)
def test_knowing_one_fact_more_never_makes_the_rules_more_cautious(pack: RulePack, of: str) -> None:
    @CAUTIOUS_LAW
    @given(st.data(), facts_alone(pack, of))
    def law(data: st.DataObject, held: Facts) -> None:
        told = revealed(data, pack, held)

        before, after = (cautious_ends(pack, concluded(pack, of, row, pack.stages[-1])) for row in (held, told))
        assert {outcome: (before[outcome], after[outcome]) for outcome in before if after[outcome] > before[outcome]} == {}

    law()


@pytest.mark.parametrize(("pack", "of"), KINDS, ids=name)
def test_knowing_one_fact_that_is_no_evidence_never_moves_a_firm_level(pack: RulePack, of: str) -> None:
    @CAUTIOUS_LAW
    @given(st.data(), facts_alone(pack, of))
    def law(data: st.DataObject, held: Facts) -> None:
        told = revealed(data, pack, held)
        before, after = (concluded(pack, of, row, pack.stages[-1]).levels for row in (held, told))

        optional = any(pack.facts[fact].evidence for fact in held if held[fact] != told[fact])
        moved = {outcome for outcome, level in before.items() if level.certain >= level.worst_case != after[outcome].worst_case}
        assert optional or moved == set()

    law()

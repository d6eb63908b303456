"""A good pack becomes exactly the rules, facts and tables that its files write."""

from datetime import date

import pytest
from tests.rules.mini import EDITION, shelve

from bondwright.rulebook.condition import All, Any, Not, Test
from bondwright.rulebook.facts import Between, FactDefinition
from bondwright.rulebook.pack import Advice, RulePack, Source, Unsettled
from bondwright.rulebook.rule import Polarity
from bondwright.rulebook.sizing import FromFact, FromTable, FromValue, HalfOf, LargestOf, Quotient, RoundUpTo, SmallestOf
from bondwright.shelf.packs import draft_pack


@pytest.fixture(scope="module")
def pack(tmp_path_factory: pytest.TempPathFactory) -> RulePack:
    return draft_pack(shelve(tmp_path_factory.mktemp("rules")), EDITION)


def test_a_raising_rule_has_its_outcome_level_stage_and_subject(pack: RulePack) -> None:
    rule = pack.rule("metal-from-ground")

    assert (rule.polarity, rule.outcome, rule.level, rule.stage, rule.of) == (
        Polarity.RAISES,
        "extraneous",
        "extraneous",
        "classify",
        "part",
    )
    assert (rule.clause, rule.source, rule.kind, rule.confidence) == ("411.3", "small-book", "stated", "secondary")
    assert rule.says == "Metal that comes from the ground can bring in a potential."


def test_a_relaxing_and_a_blocking_rule_take_stage_and_subject_from_their_targets(pack: RulePack) -> None:
    relaxing, blocking = pack.rule("reading-shows-isolation"), pack.rule("low-reference")

    assert relaxing.targets == ("metal-from-ground",)
    assert blocking.targets == ("reading-shows-isolation",)
    assert [(rule.stage, rule.of, rule.outcome) for rule in (relaxing, blocking)] == [("classify", "part", "")] * 2


CONDITIONS: tuple[tuple[str, All | Any | Not | Test], ...] = (
    ("metal-from-ground", All((Test("metal", "is", ("yes",)), Test("ground", "is", ("yes",))))),
    (
        "reading-shows-isolation",
        All((Test("reading", "at_least", 22000.0), Not(Test("surroundings", "is", ("slab", "soil"))))),
    ),
    ("low-reference", Any((Test("reading", "below", "reference"), Test("surroundings", "is", ("soil",))))),
    ("reading-missing", Test("reading", "at_most", 500000.0)),
    ("usual-size", All(())),
    ("bond-too-small", All((Test("present_bond", "below", "bond_size"), Test("bond_size", "above", 6.0)))),
    ("part-in-doubt", All((Test("extraneous", "at_least", 1.0), Test("metal", "is", ("yes",))))),
)


@pytest.mark.parametrize(("rule_id", "condition"), CONDITIONS, ids=[rule_id for rule_id, _ in CONDITIONS])
def test_a_condition_is_read_as_written(pack: RulePack, rule_id: str, condition: All | Any | Not | Test) -> None:
    assert condition == pack.rule(rule_id).when


FORMS = (
    ("bond-size", FromTable("bond-by-neutral")),
    (
        "half-earthing-conductor",
        RoundUpTo((4.0, 6.0, 10.0, 16.0, 25.0), SmallestOf((FromValue(25.0), LargestOf((FromValue(6.0), HalfOf(FromFact("neutral"))))))),
    ),
    ("usual-size", FromValue(10.0)),
    ("earth-resistance", Quotient(FromValue(50.0), FromFact("device_current"))),
)


@pytest.mark.parametrize(("rule_id", "form"), FORMS, ids=[rule_id for rule_id, _ in FORMS])
def test_a_form_is_read_as_written(pack: RulePack, rule_id: str, form: object) -> None:
    assert form == pack.rule(rule_id).form


EXAMPLES = (
    ("metal-from-ground", 1, {"metal": "yes"}, (("extraneous", "extraneous"), ("extraneous.firm", "no"))),
    ("bond-size", 0, {"generator": "no", "neutral": Between(36.0, 36.0)}, (("bond_size", "16.0"),)),
    ("bond-size", 1, {"generator": "no"}, (("bond_size", "25.0"), ("bond_size.provisional", "none"), ("bond_size.firm", "no"))),
    ("part-in-doubt", 0, {"extraneous": Between(1.0, 1.0), "metal": "yes"}, (("danger", "danger"),)),
)


@pytest.mark.parametrize(("rule_id", "index", "given", "expect"), EXAMPLES)
def test_an_example_is_read_as_written(
    pack: RulePack, rule_id: str, index: int, given: dict[str, object], expect: tuple[tuple[str, str], ...]
) -> None:
    example = pack.examples[rule_id][index]

    assert (given, expect) == (example.given, example.expect)


def test_a_number_fact_is_held_in_its_base_unit(pack: RulePack) -> None:
    expected = FactDefinition(
        "device_current", ("installation",), "number", "at which it trips", "Which current?", unit="A", lowest=0.01, highest=100.0
    )

    assert expected == pack.facts["device_current"]


def test_evidence_is_marked_only_where_the_file_says_so(pack: RulePack) -> None:
    assert [fact.name for fact in pack.facts.values() if fact.evidence] == ["reading"]


def test_a_ladder_keeps_its_levels_and_words_in_order(pack: RulePack) -> None:
    outcome = pack.outcomes["extraneous"]

    assert (outcome.levels, outcome.words) == (("not_extraneous", "extraneous"), ("not extraneous", "extraneous"))
    assert (outcome.otherwise_clause, outcome.unsettled) == ("Part 2", Unsettled("not_shown", "treat as extraneous"))


def test_a_level_keeps_the_code_of_an_inspection(pack: RulePack) -> None:
    outcome = pack.outcomes["fault"]

    assert (outcome.words, outcome.codes) == (("nothing", "a fault (code F1)"), ("", "F1"))


def test_a_table_gives_the_entry_of_the_row_that_covers_a_number(pack: RulePack) -> None:
    table = pack.tables["bond-by-neutral"]

    assert [table.at(neutral) for neutral in (35.0, 35.1, 50.0, 50.1)] == [10.0, 16.0, 16.0, 25.0]
    assert (table.reads, table.unit, table.gives, table.clause) == ("neutral", "mm2", "mm2", "Table 5")


def test_named_values_are_held_in_base_units(pack: RulePack) -> None:
    assert {value.name: (value.value, value.unit) for value in pack.values.values()} == {
        "isolation_limit": (22000.0, "ohm"),
        "touch_voltage": (50.0, "V"),
    }


def test_the_header_has_its_days(pack: RulePack) -> None:
    assert (date(2020, 1, 1), date(2025, 12, 31), date(2026, 6, 30)) == (pack.usable_from, pack.usable_to, pack.review_by)


def test_a_joined_row_takes_keys_left_out_as_any(pack: RulePack) -> None:
    first, last = pack.joined

    assert (
        first.duty,
        first.duty_firm,
        first.objection,
        first.objection_firm,
        first.bond,
        first.act,
    ) == (("extraneous",), "yes", ("none",), "any", ("none", "cannot_rely"), "bond")
    assert (last.duty, last.duty_firm, last.objection, last.objection_firm, last.bond, last.act) == ((), "any", (), "any", (), "leave")


def test_the_rest_of_the_pack_is_read_as_written(pack: RulePack) -> None:
    assert Advice("leave", "leave", "Leave {part}.", "Nothing to do.", (), (), instruction="leave") == pack.advice["leave"]


def test_an_act_names_the_one_in_its_place_where_metal_may_be_shared(pack: RulePack) -> None:
    assert {act: advice.if_shared for act, advice in pack.advice.items()} == {"bond": "bond_shared", "bond_shared": "", "leave": ""}
    assert pack.properties["materials"] == {
        "copper": {"conducts": "yes"},
        "plastic": {"conducts": "no"},
        "unknown": {"conducts": "unknown"},
    }
    assert Source("practice", "Common practice", "") == pack.sources["practice"]
    assert pack.asks == {"hidden_in": "What is the hidden length in?"}
    assert pack.readings["isolation"]["passes"] == "above"
    assert pack.cautions == ("Values are invented.",)
    assert pack.stages == ("classify", "size", "judge")


def test_a_rule_stands_where_its_id_is_written(pack: RulePack) -> None:
    lines = pack.text.decode().splitlines()
    places = [(rule.rule_id, rule.place) for rule in pack.rules]
    assert all(lines[place.line - 1][place.column - 1 :].startswith(f"id: {rule_id}") for rule_id, place in places)

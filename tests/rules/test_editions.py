"""The published editions of BS 7671:2018: their dates, and what each amendment changes for bonding.

Dates: the standards body's pages for A1 and A2 (issue 1 or 3 February 2020, withdrawn 27 September 2022; 28 March 2022), a safety
charity's guidance for A3 (31 July 2024), five trade pages that agree for A4 (15 April 2026; what came before withdrawn 15 October 2026).
Changes: the institution's page on the 18th Edition, a course page that reproduces 411.3.1.2, a trade magazine on clamps and labels.
"""

from datetime import date, timedelta

import pytest
from tests.rules.revisions import newest_id, newest_revisions

from bondwright.members import replace
from bondwright.rulebook.condition import All
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Example, Polarity, Rule
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import in_order

NOWHERE = Place("", 1, 1)
ALWAYS = All(())
EDITIONS = {pack.pack_id: pack for pack in newest_revisions() if pack.pack_id.startswith("bs7671-2018-")}
FIRST, A1, A2, A3, A4 = (newest_id(f"bs7671-2018{amendment}") for amendment in ("", "-a1", "-a2", "-a3", "-a4"))
REWORDED = {"extraneous-needs-main-bond", "telecom-sheath-needs-consent", "telecom-consent-refused", "bond-without-label"}


def rules(pack_id: str) -> dict[str, Rule]:
    """The rules of a pack by id, their places left out."""
    return {rule.rule_id: without_places(rule) for rule in EDITIONS[pack_id].rules}


def without_places(rule: Rule) -> Rule:
    """The rule, wherever it stands."""
    return replace(rule, place=NOWHERE, origin=NOWHERE)


def examples(pack_id: str) -> dict[str, tuple[Example, ...]]:
    """The examples of a pack by their rule, their places left out."""
    return {name: tuple(replace(one, place=NOWHERE) for one in those) for name, those in EDITIONS[pack_id].examples.items()}


@pytest.mark.parametrize(
    ("pack_id", "first", "last"),
    [
        (FIRST, date(2019, 1, 1), date(2020, 7, 31)),
        (A1, date(2020, 2, 1), date(2022, 9, 27)),
        (A2, date(2022, 3, 28), date(2026, 10, 14)),
        (A3, date(2024, 7, 31), date(2026, 10, 14)),
        (A4, date(2026, 4, 15), None),
    ],
)
def test_an_edition_is_usable_in_its_published_time(pack_id: str, first: date, last: date | None) -> None:
    pack = EDITIONS[pack_id]

    assert (pack.usable_from, pack.usable_to) == (first, last)


def test_no_day_since_2019_is_without_an_edition() -> None:
    packs = list(EDITIONS.values())
    after = [pack.usable_to + timedelta(days=1) for pack in packs if pack.usable_to]

    assert [day for day in after if not any(covers(pack, day) for pack in packs)] == []


def covers(pack: RulePack, day: date) -> bool:
    """Whether the pack may be worked to on that day."""
    return pack.usable_from <= day and (pack.usable_to is None or day <= pack.usable_to)


def test_amendment_3_has_the_rules_of_the_one_before() -> None:
    assert rules(A2) == rules(A3)
    assert examples(A2) == examples(A3)


def test_amendment_1_brings_ways_to_charge_outdoors_and_changes_nothing_else() -> None:
    """Section 722 as Amendment 1 has it: a device by the voltage of a single-phase supply, and means that are no less effective."""
    older, newer = rules(FIRST), rules(A1)

    assert newer.keys() - older.keys() == {"device-opens-outside-207-to-253-v", "means-as-safe-as-the-others"}
    assert older == {name: rule for name, rule in newer.items() if name in older}
    assert examples(FIRST) == {name: those for name, those in examples(A1).items() if name in older}


def test_amendment_4_gives_up_what_was_not_read_and_changes_nothing_else() -> None:
    """A rule that is of many kinds of location stays as it was, but is no longer of solar power."""
    older, newer = rules(A3), rules(A4)

    gone = [EDITIONS[A3].rule(name) for name in older.keys() - newer.keys()]
    assert [rule.rule_id for rule in gone if "solar_power" not in repr(rule.when)] == []
    assert [name for name in newer.keys() - older.keys() if newer[name].polarity is not Polarity.REMARKS] == []
    assert [name for name in newer.keys() & older.keys() if without_solar(newer[name]) != without_solar(older[name])] == []
    before, after = examples(A3), examples(A4)
    assert [name for name in newer.keys() & older.keys() if after.get(name) != before.get(name)] == []


def without_solar(rule: Rule) -> tuple[str, Rule]:
    """The rule and its condition, which names no solar power."""
    return repr(rule.when).replace(", 'solar_power'", ""), replace(rule, when=ALWAYS)


def test_amendment_2_drops_the_sentence_on_insulating_sections_and_says_so_and_no_other_rule() -> None:
    assert set(rules(A1)) - set(rules(A2)) == {"insulating-section-at-entry"}
    assert set(rules(A2)) - set(rules(A1)) == {"stub-before-insulating-section"}
    assert EDITIONS[A2].rule("stub-before-insulating-section").polarity is Polarity.REMARKS


def test_amendment_2_rewords_411_3_1_2_and_the_label_and_nothing_else() -> None:
    older, newer = rules(A1), rules(A2)

    assert {rule_id for rule_id in newer.keys() & older.keys() if newer[rule_id].says != older[rule_id].says} == REWORDED


def test_before_amendment_2_no_rule_rests_on_its_text() -> None:
    assert {rule.rule_id for rule in EDITIONS[A1].rules if rule.source == "bs7671-a2"} == set()


@pytest.mark.parametrize("pack_id", [A2, A3, A4])
def test_since_amendment_2_an_extraneous_part_is_unbonded_only_outside_or_where_there_is_no_earth(pack_id: str) -> None:
    duty = EDITIONS[pack_id].rule("extraneous-needs-main-bond")

    assert [rule.rule_id for rule in EDITIONS[pack_id].against(duty)] == [
        "metal-outside-is-not-brought-in",
        "no-protective-earth-no-main-bonding",
    ]


def test_amendment_2_changes_no_rule_in_what_it_does() -> None:
    older, newer = rules(A1), rules(A2)

    assert {name for name in newer.keys() & older.keys() if without_words(newer[name]) != without_words(older[name])} == set()
    assert {name: those for name, those in examples(A2).items() if name in older} == {
        name: those for name, those in examples(A1).items() if name in newer
    }


def without_words(rule: Rule) -> Rule:
    """What the rule does, whatever it says and rests on."""
    return replace(rule, says="", clause="", source="", kind="", confidence="", other_view="")


def test_packs_follow_each_other_by_their_first_usable_day() -> None:
    assert [pack.pack_id for pack in in_order(reversed(list(EDITIONS.values())))] == [FIRST, A1, A2, A3, A4]


def test_a_rule_that_no_amendment_touched_points_to_the_base() -> None:
    origin = EDITIONS[A4].rule("metal-from-ground").origin

    text = (rules_folder() / origin.file).read_text().splitlines()
    assert origin.file == "bs7671/2018.yaml"
    assert text[origin.line - 1] == "  - id: metal-from-ground"


def test_the_current_edition_says_that_its_texts_could_not_be_confirmed() -> None:
    assert "could not be confirmed" in EDITIONS[A4].note

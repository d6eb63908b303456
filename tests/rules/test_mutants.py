"""Mistakes made on purpose: the examples of a pack must notice each one that changes anything."""

from collections.abc import Sequence

from tests.rules.small_packs import small_pack

from bondwright.proofs.findings import Finding, errors
from bondwright.proofs.mutants import scored, survivors
from bondwright.proofs.mutations import mutants
from bondwright.rulebook.pack import RulePack

DANGER_SHOWN = (
    "      - {given: {extraneous: extraneous, metal: yes}, expect: {danger: danger}}\n",
    "      - {given: {extraneous: extraneous, metal: yes}, expect: {danger: danger}}\n"
    "      - {given: {extraneous: extraneous, metal: no}, expect: {danger: none}}\n"
    "      - {given: {extraneous: not_extraneous, metal: yes}, expect: {danger: none}}\n",
)
"""Both near misses of the rule `part-in-doubt`."""


def about(findings: Sequence[Finding], name: str) -> list[str]:
    """What survives of the rule or table called `name`."""
    return [one.detail.partition(";")[0].partition(f"`{name}` ")[2] for one in findings if f"`{name}`" in one.detail.partition(";")[0]]


def made(pack: RulePack, name: str) -> list[str]:
    """The mistakes that are made in the rule or table called `name`."""
    return [mutant.what.partition(f"`{name}` ")[2] for mutant in mutants(pack) if f"`{name}` " in mutant.what]


def test_every_part_of_a_rule_is_mistaken_once() -> None:
    assert made(small_pack(), "reading-shows-isolation") == [
        "is dropped",
        "holds always",
        "loses `reading at least 22000`",
        "tests `reading at least 22000` against 21450",
        "tests `reading at least 22000` against 22550",
        "loses not `surroundings is slab, soil`",
    ]


def test_every_limit_and_entry_of_a_table_is_moved_both_ways() -> None:
    found = made(small_pack(), "bond-by-neutral")

    assert found[:4] == ["gives 9.75 for 10", "gives 10.25 for 10", "has limit 34.125 for 35", "has limit 35.875 for 35"]
    assert len(found) == 10


def test_the_numbers_of_a_form_are_moved() -> None:
    assert "uses 6.15 for 6" in made(small_pack(), "half-earthing-conductor")


def test_a_raised_level_and_a_tested_one_become_their_neighbours() -> None:
    pack = small_pack(('levels: {none: "nothing", fault:', 'levels: {none: "nothing", poor: "poor", fault:'))

    assert "raises to `poor`" in made(pack, "bond-too-small")


def test_a_remark_can_only_be_seen_to_be_dropped() -> None:
    assert made(small_pack(), "reading-missing") == ["is dropped"]


def test_a_rule_without_its_near_misses_has_survivors() -> None:
    assert about(survivors(small_pack()), "part-in-doubt") == ["holds always", "loses `extraneous at least 1`"]


def test_near_misses_kill_them() -> None:
    assert about(survivors(small_pack(DANGER_SHOWN)), "part-in-doubt") == []


def test_a_size_that_is_no_longer_given_is_noticed_by_any_example_of_its_stage() -> None:
    assert "is dropped" not in about(survivors(small_pack()), "earth-resistance")


def test_a_survivor_has_its_place_and_an_input_that_tells_it_apart() -> None:
    (found,) = [one for one in survivors(small_pack()) if "`part-in-doubt` holds always" in one.detail]

    assert found.place is not None
    assert "; they differ knowing: " in found.detail


def test_a_mistake_that_changes_nothing_does_not_count() -> None:
    pack = small_pack(("when: {reference: {above: 500 ohm}}", "when: {surroundings: soil}"))

    assert "is dropped" not in about(scored(pack).survivors, "low-reference")
    assert scored(pack).same > scored(small_pack()).same


def test_the_score_adds_up() -> None:
    score = scored(small_pack())

    assert (score.made, score.made) == (len(list(mutants(small_pack()))), score.killed + score.same + len(score.survivors))


def test_the_score_is_void_where_an_example_fails() -> None:
    pack = small_pack(("neutral: 36 mm2}, expect: {bond_size: 16}", "neutral: 35 mm2}, expect: {bond_size: 16}"))

    assert [one.detail for one in errors(survivors(pack))] == [
        "rule `bond-size`: bond_size is 10.0, expected 16.0",
        "no score: not every example comes out as expected",
    ]


def test_the_examples_of_a_dropped_rule_still_count() -> None:
    assert about(survivors(small_pack()), "metal-from-ground") == ["loses `metal is yes`"]

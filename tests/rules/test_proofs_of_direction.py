"""Which way outcomes go from one pack to another, as the solver proves it, beside a search that sees only what really happens."""

import pytest
from tests.rules.small_packs import small_pack

from bondwright.cli.rules.stricter import searched
from bondwright.proofs.solver.direction import turns, unlike_facts
from bondwright.rulebook.pack import RulePack

OLD = small_pack()

CHANGES = {
    "a larger entry": ("[50, 16]", "[50, 20]", {("bond_size", "stricter"), ("fault", "stricter")}),
    "a smaller entry": ("[50, 16]", "[50, 12]", {("bond_size", "more lenient"), ("fault", "more lenient")}),
    "a limit further out": ("[[35, 10]", "[[36, 10]", {("bond_size", "more lenient"), ("fault", "more lenient")}),
    "another wording": ("The bond follows the neutral.", "The bond goes by the neutral.", set()),
    "a condition more": (
        "when: {metal: yes, ground: yes}",
        "when: {metal: yes, ground: yes, surroundings: soil}",
        {("extraneous", "more lenient"), ("danger", "more lenient")},
    ),
    "a condition less": ("when: {metal: yes, ground: yes}", "when: {metal: yes}", {("extraneous", "stricter"), ("danger", "stricter")}),
    "a relaxation that needs less": (
        "{reading: {at_least: isolation_limit}}",
        "{reading: {at_least: 10 ohm}}",
        {("extraneous", "more lenient"), ("danger", "more lenient")},
    ),
    "a smaller size for now": ("provides: {bond_size: 10 mm2}", "provides: {bond_size: 6 mm2}", {("bond_size", "more lenient")}),
    "a fact that may be larger": ("range: [1 mm2, 400 mm2]", "range: [1 mm2, 500 mm2]", set()),
}


def kinds(pack: RulePack) -> list[str]:
    """Every kind of subject that an outcome is about."""
    return list(dict.fromkeys(outcome.of for outcome in pack.outcomes.values()))


def ways(old: RulePack, new: RulePack) -> set[tuple[str, str]]:
    """Each outcome that moves, with its way."""
    return {(turn.outcome, turn.way) for turn in turns(old, new, kinds(new))}


@pytest.mark.parametrize(("was", "now", "moved"), CHANGES.values(), ids=CHANGES)
def test_each_change_goes_the_way_that_it_goes(was: str, now: str, moved: set[tuple[str, str]]) -> None:
    assert ways(OLD, small_pack((was, now))) == moved


@pytest.mark.parametrize(("was", "now", "moved"), CHANGES.values(), ids=CHANGES)
def test_the_other_way_round_it_goes_the_other_way(was: str, now: str, moved: set[tuple[str, str]]) -> None:
    turned = {"stricter": "more lenient", "more lenient": "stricter"}

    assert ways(small_pack((was, now)), OLD) == {(outcome, turned[way]) for outcome, way in moved}


@pytest.mark.parametrize(("was", "now"), [change[:2] for change in CHANGES.values()], ids=CHANGES)
def test_whatever_a_search_finds_is_proved(was: str, now: str) -> None:
    new = small_pack((was, now))

    assert {(one.outcome, one.becomes) for one in searched(OLD, new).moved} <= ways(OLD, new)


def test_a_pack_goes_no_way_from_itself() -> None:
    assert ways(OLD, OLD) == set()


def test_a_turn_shows_what_is_known_then() -> None:
    turn = next(iter(turns(OLD, small_pack(("[50, 16]", "[50, 12]")), kinds(OLD))))

    assert (turn.outcome, turn.way) == ("bond_size", "more lenient")
    assert "neutral=" in turn.shown


def test_a_fact_in_another_unit_is_named() -> None:
    other = small_pack(
        ("unit: ohm, range: [0 ohm, 1000 ohm]", "unit: mm2, range: [0 mm2, 1000 mm2]"),
        ("reference: {above: 500 ohm}", "reference: {above: 500 mm2}"),
        ("reference: 500 ohm", "reference: 500 mm2"),
    )

    assert unlike_facts(OLD, other) == ("reference",)
    assert unlike_facts(OLD, OLD) == ()

"""The joined table: each situation has a row, and no doubt leads to work; each fault planted in the published table is found."""

from functools import cache

from tests.rules.revisions import newest
from tests.rules.small_packs import small_pack

from bondwright.members import replace
from bondwright.proofs.findings import Finding, errors
from bondwright.proofs.joined import BOND_STATES, joined
from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import JoinedRow, RulePack
from bondwright.shelf.reading.advice import BONDS

_PLACE = Place("joined.yaml", 1, 1)
ANY = JoinedRow(duty=(), duty_firm="any", objection=(), bond=(), act="bond", place=_PLACE)
"""A row that fits everything, and bonds."""


@cache
def published_pack() -> RulePack:
    """The pack whose table faults are planted in."""
    return newest("bs7671-2018-a4")


def with_rows(*rows: JoinedRow) -> RulePack:
    """The published pack with another joined table."""
    return replace(published_pack(), joined=rows)


def wrong(pack: RulePack) -> tuple[Finding, ...]:
    """What keeps the table from being published."""
    return errors(joined(pack))


def test_the_published_table_passes() -> None:
    assert wrong(published_pack()) == ()


def test_a_pack_without_words_for_a_part_that_another_bond_serves_is_found() -> None:
    duty = replace(published_pack().outcomes["main_bonding"], covered="")

    found = wrong(replace(published_pack(), outcomes={**published_pack().outcomes, "main_bonding": duty}))

    assert [one.detail for one in found] == ["`main_bonding` has no words for a part that another one's bond serves; write `covered`"]


def test_every_state_of_a_bond_that_a_row_may_name_is_gone_through() -> None:
    assert sorted(BOND_STATES) == sorted(BONDS)


def test_a_situation_without_a_row_is_found() -> None:
    pack = with_rows(*(row for row in published_pack().joined if row.duty != ("required",)))

    assert "no row fits required (firm), no_objection (firm), bond counts" in [one.detail for one in wrong(pack)]


def test_work_while_the_objection_is_in_doubt_is_found() -> None:
    settled = replace(ANY, objection=published_pack().outcomes["objection"].levels[1:], objection_firm="yes", act="stop")

    found = wrong(with_rows(settled, ANY))

    assert any(one.detail.startswith("the objection is in doubt, and `bond` is done") for one in found)
    assert any(one.detail.startswith("knowing less leads from `stop`") for one in found)


def test_work_that_begins_when_the_duty_comes_into_doubt_is_found() -> None:
    pack = with_rows(replace(ANY, duty_firm="yes", act="do_not_connect"), ANY)

    assert any("knowing less leads from `do_not_connect` for required (firm)" in one.detail for one in wrong(pack))


def test_removing_a_bond_while_anything_is_in_doubt_is_found() -> None:
    certain = replace(ANY, duty=("not_required",), objection=("must_not_be_connected",), act="disconnect")

    found = wrong(with_rows(certain, replace(ANY, act="leave")))

    said = "something is in doubt, and `disconnect` removes for not_required (firm), must_not_be_connected (in doubt), bond counts"
    assert said in [one.detail for one in found]
    assert wrong(with_rows(replace(certain, duty_firm="yes", objection_firm="yes"), replace(ANY, act="leave"))) == ()


def test_work_on_a_duty_in_doubt_asks_for_a_look() -> None:
    found = joined(
        with_rows(replace(ANY, duty=("not_required",), act="leave"), replace(ANY, objection=("no_objection",)), replace(ANY, act="stop"))
    )

    assert [(one.severity, one.detail) for one in found] == [("warning", "the duty is in doubt, and `bond` is done all the same")]


def test_a_pack_that_joins_nothing_is_found() -> None:
    assert [one.detail for one in wrong(small_pack())] == ["the pack has no outcomes `main_bonding` and `objection` to join into acts"]

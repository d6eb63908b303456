"""Small mistakes made in the rules on purpose, and whether worked cases notice them: what is noticed, and what survives and why."""

from functools import cache

import pytest
from tests.core.cases import cases, published_pack, read

from bondwright.members import replace
from bondwright.proofs.worked.claims import Claims
from bondwright.proofs.worked.mistakes import mistakes
from bondwright.proofs.worked.noticing import Score, scored
from bondwright.rulebook.rule import Polarity

PARTS = {
    "a rule": ("rule", "metal-from-ground"),
    "a table": ("table", "pme-main-bond"),
    "a row of the joined table": ("joined", "keep_and_note"),
}


@cache
def claims(*names: str) -> Claims:
    """Those of the cases named, or of all."""
    chosen = [case for case in cases() if not names or case.name in names]
    return Claims(published_pack(), [(name, claim, read(claim.installation)) for case in chosen for name, claim in case.claims])


def score(part: tuple[str, str], *names: str) -> Score:
    """Of the mistakes in one part of the pack."""
    return scored(claims(*names), frozenset({part}))


def made(part: tuple[str, str]) -> list[str]:
    """The mistakes made in one part, in words."""
    return [one.what for one in mistakes(published_pack()) if one.part == part]


@pytest.mark.parametrize("part", PARTS.values(), ids=PARTS)
def test_every_mistake_is_noticed_or_survives_or_changes_nothing(part: tuple[str, str]) -> None:
    found = score(part)

    assert found.made == len(made(part)) > 0
    assert found.noticed > 0
    assert found.noticed + found.same + len(found.survivors) == found.made


def test_a_size_is_mistaken_for_the_next_ones_made() -> None:
    assert {"table `pme-main-bond` gives 6 for 10", "table `pme-main-bond` gives 16 for 10"} <= set(made(("table", "pme-main-bond")))


def test_the_last_row_of_the_joined_table_is_never_dropped() -> None:
    pack = published_pack()

    assert all(one.pack.joined[-1] == pack.joined[-1] for one in mistakes(pack))


def test_what_no_case_is_about_survives_with_its_place() -> None:
    found = score(("rule", "bond-below-least-size"), cases()[0].name)

    assert found.noticed == 0
    assert {one.severity for one in found.survivors} == {"error"}
    assert all(one.place and "bs7671/2018.yaml" in one.place.file for one in found.survivors)
    assert all("no worked case notices that rule `bond-below-least-size`" in one.detail for one in found.survivors)


def test_a_pack_that_gives_no_answer_is_noticed() -> None:
    pack, judged = published_pack(), claims(cases()[0].name).judged[0]
    without_sizes = replace(pack, rules=tuple(rule for rule in pack.rules if rule.polarity is not Polarity.SIZES))

    assert not judged.notices(pack)
    assert judged.notices(without_sizes)

"""Example installations, each a claim that a plumber can read: judged by the published pack, each with a near miss."""

import re
from collections.abc import Sequence

import pytest
from tests.core.cases import cases, channels, differences, judged, published_pack, read

from bondwright.cases.case import Case
from bondwright.conclude.concluding import Acting
from bondwright.evaluate.order import evaluate
from bondwright.rulebook.facts import Facts, Truth
from bondwright.rulebook.meaning import Acts, truth

CASES = cases()
SOURCE_WORDS = ("common practice", "secondary source", "our reading", "from memory")

every_case = pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)


@every_case
def test_the_claim_holds(case: Case) -> None:
    assert differences(case.claim, judged(case.claim.installation)) == []


@every_case
def test_its_near_misses_are_judged_as_they_say(case: Case) -> None:
    assert [differences(claim, judged(claim.installation)) for _, claim in case.claims[1:]] == [[]] * (1 + len(case.further))


@every_case
def test_the_claim_does_not_hold_of_its_near_miss(case: Case) -> None:
    assert differences(case.claim, judged(case.near_miss.installation)) != []


@every_case
def test_the_file_is_named_after_its_claim_and_says_what_it_rests_on(case: Case) -> None:
    words = re.sub(r"[^a-z0-9]+", "-", case.claim.says.lower().replace("'", "")).strip("-")

    assert case.name == words
    assert any(source in case.rests_on for source in SOURCE_WORDS)


def test_there_are_at_least_twenty_eight_cases() -> None:
    assert len(CASES) >= 28


def test_every_rule_of_the_published_pack_takes_part_in_some_case() -> None:
    pack = published_pack()
    taking_part: set[str] = set()

    for case in CASES:
        for _, claim in case.claims:
            evaluate(read(claim.installation), pack, _noting(taking_part))

    assert sorted({rule.rule_id for rule in pack.rules} - taking_part) == []


def _noting(taking_part: set[str]) -> Acting:
    """Runs both channels and notes each rule that acts because its condition holds, not because something is unknown."""
    rules = {rule.rule_id: rule for rule in published_pack().rules}

    def acting(stage: str, of: str, rows: Sequence[tuple[Facts, Facts]]) -> list[Acts]:
        fired = channels().acts(stage, of, rows)
        taking_part.update(
            name
            for (_, facts), acts in zip(rows, fired, strict=True)
            for name in acts.worst_case
            if truth(rules[name].when, facts) is Truth.TRUE
        )
        return fired

    return acting


def test_every_disputed_point_stands_in_a_case_that_names_the_other_view() -> None:
    disputed = {rule.rule_id for rule in published_pack().rules if rule.other_view}
    expected = [one for case in CASES for _, claim in case.claims for one in claim.expectations]
    named = {rule_id for one in expected if one.key in ("other_views", "limit_other_views", "link_other_views") for rule_id in one.wanted}

    assert sorted(disputed - named) == []
    assert len(disputed) >= 20

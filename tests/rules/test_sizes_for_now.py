"""What serves until more is known is never below what is certain, whatever a rule provides."""

import pytest
from tests.rules.small_packs import small_pack

from bondwright.members import replace
from bondwright.proofs.examples import Runner
from bondwright.rulebook.facts import Between
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Example

PACK = replace(small_pack(), bounds_for_now=True)
"""It has a table, 10 up to 35 mm2 and 16 up to 50; half, rounded up; and 10 mm2 for now. Which of the first two holds is not told."""


@pytest.mark.parametrize(
    ("neutral_mm2", "least", "for_now"),
    [
        pytest.param(35.0, "10.0", "10.0", id="10 or 25 mm2, and 10 is usual"),
        pytest.param(36.0, "16.0", "16.0", id="16 or 25 mm2, where 10 is usual"),
    ],
)
def test_a_usual_size_gives_way_to_the_least_that_either_rule_asks_for(neutral_mm2: float, least: str, for_now: str) -> None:
    assert _fault(PACK, neutral_mm2, least, for_now) == ""


def test_packs_published_before_keep_their_usual_size() -> None:
    assert _fault(replace(PACK, bounds_for_now=False), 36.0, "16.0", "10.0") == ""


def _fault(pack: RulePack, neutral_mm2: float, least: str, for_now: str) -> str:
    rule = pack.rule("bond-size")
    expected = (("bond_size.lowest", least), ("bond_size", "25.0"), ("bond_size.provisional", for_now))
    return Runner(pack).fault(rule, Example({"neutral": Between(neutral_mm2, neutral_mm2)}, expected, rule.place))

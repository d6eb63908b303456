"""What the work in hand changes in the words: what waits for bonding, what becomes of an old sound size, where codes are named."""

from typing import Any

import pytest
from tests.core.cases import judged
from tests.core.test_observations import GOOD, INSPECTION, SUPPLY

ADDITION = {"kind": "addition", "designed_on": "2026-11-25"}
OLD_BOND = GOOD | {"size": 6, "length_m": 4}


def line_for(work: dict[str, str], **changed: Any) -> str:
    """The first line for a steel gas pipe out of the ground, on PME."""
    gas = {"id": "gas", "kind": "gas", "comes_from": "ground", "enters_as": "steel", "inside": "nothing", "insulating_section": "none"}
    evaluation = judged({"work": work, "supply": SUPPLY, "services": [{**gas, "joined_to": [], "meter": {"position": "none"}, **changed}]})
    return evaluation.parts[0].line


@pytest.mark.parametrize(
    ("bonds", "waits"),
    [([], True), ("unknown", True), ([OLD_BOND | {"joint": "corroded"}], True), ([OLD_BOND], False), ([OLD_BOND | {"size": 10}], False)],
    ids=["none", "not told", "corroded", "old and sound", "sound"],
)
def test_new_work_waits_for_bonding_that_is_missing_or_unsound_and_for_no_other(bonds: Any, waits: bool) -> None:
    assert ("Until then the new work is not energised" in line_for(ADDITION, bonds=bonds)) is waits


def test_an_old_sound_size_has_both_views_and_a_comment_but_no_inspection_code_in_an_addition() -> None:
    line = line_for(ADDITION, bonds=[OLD_BOND])

    assert "smaller than this edition asks" in line and "adequate for the work" in line and "replace it" in line and "comment" in line
    assert "C3" not in line and "C3" in line_for_bond(INSPECTION) and "C3" not in line_for_bond(ADDITION)


def line_for_bond(work: dict[str, str]) -> str:
    """The line for a sound 6 mm² bond on that pipe."""
    gas = {"kind": "gas", "comes_from": "ground", "enters_as": "steel", "inside": "nothing", "joined_to": [], "bonds": [OLD_BOND]}
    return judged({"work": work, "supply": SUPPLY, "services": [gas]}).parts[0].bonds[0].line


def test_where_nobody_spoke_of_a_bond_the_line_begins_with_looking() -> None:
    assert line_for(INSPECTION).startswith("Look for a bond on the gas service")

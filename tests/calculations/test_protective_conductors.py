"""Size of the earthing conductor against what is printed.

Sources stand beside the figures. The book itself was not read: Table 54.7 is that of a rules blog (page 280) and a panel
builder's note, Table 54.1 that of electriciansforums 28774, least sizes for strength those of a trade body's pocket guide.
"""

from typing import Any

import pytest
from tests.calculations.changed import worked_by_rules
from tests.calculations.test_main_bond import assert_last_step_gives_the_result, out_of_range, refused, used, with_use
from tests.calculations.worked import pack, result, worked
from tests.rules.revisions import published

from bondwright.errors import Contradiction
from bondwright.members import replace
from bondwright.rulebook.sizing import FromValue

EARTHING = "earthing-conductor-size"
REQUIRED, SIZE = "required_earthing_conductor", "earthing_conductor_size"
BARE_IN_GROUND = {"buried": "yes", "protected_against_corrosion": "no"}
SHEATHED = {"buried": "yes", "protected_against_corrosion": "yes", "protected_mechanically": "no"}
PROTECTED = {"buried": "yes", "protected_against_corrosion": "yes", "protected_mechanically": "yes", "separate_length_protected": "yes"}


@pytest.mark.parametrize(
    ("line_mm2", "earthing_mm2"),
    [
        (16, 16),
        (25, 16),
        (35, 16),
        (50, 25),
        (70, 35),
        (95, 50),  # half is 47.5; 50 is printed
        (150, 95),  # half is 75; one page rounds down to 70, which the rule does not allow
    ],
)
def test_earthing_conductor_by_selection_is_the_printed_one(line_mm2: float, earthing_mm2: float) -> None:
    assert result(worked(EARTHING, line_mm2=line_mm2, buried="no"), REQUIRED) == earthing_mm2


@pytest.mark.parametrize(("laid", "least_mm2"), [(PROTECTED, 2.5), (SHEATHED, 16), (BARE_IN_GROUND, 25)])
def test_buried_earthing_conductor_is_not_below_the_printed_size(laid: dict[str, Any], least_mm2: float) -> None:
    """electriciansforums 28774, copper column of Table 54.1."""
    assert result(worked(EARTHING, line_mm2=1, **laid), REQUIRED) == least_mm2
    assert result(worked(EARTHING, line_mm2=95, **laid), REQUIRED) == 50


def test_damage_matters_nothing_to_a_bare_buried_conductor() -> None:
    answers = [worked(EARTHING, line_mm2=1, **BARE_IN_GROUND, protected_mechanically=told) for told in ("yes", "no")]

    assert [result(answer, REQUIRED) for answer in answers] == [25, 25]


@pytest.mark.parametrize(("line_mm2", "metal", "earthing_mm2"), [(50, "aluminium", 16), (70, "aluminium", 25), (400, "steel", 25)])
def test_line_conductor_of_another_metal_counts_by_its_conductance(line_mm2: float, metal: str, earthing_mm2: float) -> None:
    """28.5, 42.7 and 50 mm² of copper: by hand from IEC 60228, and by the eight times of DIYnot 327120."""
    assert result(worked(EARTHING, line_mm2=line_mm2, line_metal=metal, buried="no"), REQUIRED) == earthing_mm2


@pytest.mark.parametrize(("bond_mm2", "earthing_mm2"), [(10, 16), (25, 25), (50, 50)])
def test_earthing_conductor_under_pme_conditions_is_not_below_the_main_bond(bond_mm2: float, earthing_mm2: float) -> None:
    """A trade body's pocket guide on 542.3.1; a line of 25 mm² asks for 16."""
    answer = worked(EARTHING, line_mm2=25, buried="no", pme_conditions="apply", main_bond_mm2=bond_mm2)

    assert (result(answer, SIZE), result(answer, REQUIRED)) == (earthing_mm2, 16)
    assert "earthing-conductor-not-below-bond" in used(answer)


@pytest.mark.parametrize("bond", [{}, {"main_bond_mm2": 25}])
def test_main_bond_adds_nothing_without_pme_conditions(bond: dict[str, float]) -> None:
    answer = worked(EARTHING, line_mm2=25, buried="no", pme_conditions="do_not_apply", **bond)

    assert result(answer, SIZE) == 16
    assert "earthing-conductor-not-below-bond" not in used(answer)


@pytest.mark.parametrize(
    "inputs",
    [
        {"line_mm2": 25, "buried": "no"},
        {"line_mm2": 25, "line_metal": "aluminium", **SHEATHED},
        {"line_mm2": 25, "buried": "no", "pme_conditions": "apply", "main_bond_mm2": 25},
        {"line_mm2": 25, "buried": "no", "pme_conditions": "do_not_apply"},
    ],
)
def test_earthing_conductor_is_in_mm2_and_the_last_step_gives_it(inputs: dict[str, Any]) -> None:
    answer = worked(EARTHING, **inputs)

    assert {one.unit for one in answer.results} == {"mm2"}
    assert_last_step_gives_the_result(answer)


@pytest.mark.parametrize(
    ("inputs", "place"),
    [
        ({"buried": "yes"}, "/protected_against_corrosion"),
        ({"buried": "yes", "protected_mechanically": "yes"}, "/protected_against_corrosion"),
        ({"buried": "yes", "protected_against_corrosion": "yes"}, "/protected_mechanically"),
        ({"buried": "no", "pme_conditions": "apply"}, "/main_bond_mm2"),
        ({"buried": "no", "main_bond_mm2": 10}, "/pme_conditions"),
    ],
)
def test_what_the_earthing_conductor_needs_is_asked_for(inputs: dict[str, Any], place: str) -> None:
    assert refused(EARTHING, line_mm2=25, **inputs) == [place]


def test_line_conductor_out_of_range_is_refused_at_its_place() -> None:
    assert out_of_range(EARTHING, line_mm2=0, buried="no") == ["/line_mm2"]


def test_row_of_the_pack_decides_the_earthing_conductor() -> None:
    changed = with_use("protective-by-selection", 50, 30)

    assert result(worked_by_rules(changed, EARTHING, line_mm2=50, buried="no"), REQUIRED) == 30


def test_rule_of_the_pack_decides_the_buried_one() -> None:
    rules = tuple(replace(rule, form=FromValue(35)) if rule.rule_id == "buried-and-bare" else rule for rule in pack().rules)

    assert result(worked_by_rules(replace(pack(), rules=rules), EARTHING, line_mm2=10, **BARE_IN_GROUND), REQUIRED) == 35


@pytest.mark.parametrize(
    ("line_mm2", "laid", "earthing_mm2"),
    [
        (1, {}, 4),  # what is left out is the worse
        (1.5, {}, 4),
        (4, {}, 4),
        (4.04, {}, 6),
        (1.5, {"separate_length_protected": "yes"}, 2.5),
        (2.5, {"separate_length_protected": "yes"}, 2.5),
        (2.52, {"separate_length_protected": "yes"}, 4),
        (1.5, {"runs_separately": "no"}, 1.5),
        (1.5, {"runs_separately": "no", "separate_length_protected": "no"}, 1.5),
    ],
)
def test_earthing_conductor_on_its_own_is_not_below_the_printed_size(line_mm2: float, laid: dict[str, str], earthing_mm2: float) -> None:
    """A trade body's pocket guide on 543.1.1."""
    answer = worked(EARTHING, line_mm2=line_mm2, buried="no", **laid)

    assert result(answer, REQUIRED) == earthing_mm2
    assert ("separate-without-mechanical-protection" in used(answer)) == (not laid)


def test_buried_conductor_that_also_runs_open_to_damage_is_not_below_4_mm2() -> None:
    assert result(worked(EARTHING, line_mm2=1, **{**PROTECTED, "separate_length_protected": "no"}), REQUIRED) == 4


@pytest.mark.parametrize(
    ("line_mm2", "earthing_mm2"),
    # Half the line conductor, then the next size of IEC 60228.
    [
        (370, 185),
        (371, 240),
        (400, 240),
        (401, 240),
        (480, 240),
        (481, 300),
        (500, 300),
        (600, 300),
        (601, 400),
        (630, 400),
        (800, 400),
        (801, 500),
        (1000, 500),
    ],
)
def test_earthing_conductor_beside_a_large_line_is_the_next_made_size_above_its_half(line_mm2: float, earthing_mm2: float) -> None:
    assert result(worked(EARTHING, line_mm2=line_mm2, buried="no"), REQUIRED) == earthing_mm2


@pytest.mark.parametrize("hundredths", range(3510, 100_001, 1013))
def test_no_earthing_conductor_is_smaller_than_half_its_line(hundredths: int) -> None:
    line_mm2 = hundredths / 100

    assert result(worked(EARTHING, line_mm2=line_mm2, buried="no"), REQUIRED) >= line_mm2 / 2


@pytest.mark.parametrize(("line_mm2", "metal"), [(0.79, "steel")])
def test_line_that_comes_to_less_copper_than_the_rules_reckon_with_is_refused(line_mm2: float, metal: str) -> None:
    with pytest.raises(
        Contradiction, match=r"/line_mm2: comes to 0.09875 mm² of copper; write a size that comes to 0.1 to 1000 mm² of copper"
    ):
        worked(EARTHING, line_mm2=line_mm2, line_metal=metal, buried="no")
    assert result(worked(EARTHING, line_mm2=0.8, line_metal=metal, buried="no"), REQUIRED) == 4


def test_main_bond_below_what_pme_conditions_allow_is_refused() -> None:
    """Table E 4.6 of the Guide to the Wiring Regulations, 17th edition, begins at 10 mm²."""
    with pytest.raises(Contradiction, match=r"/main_bond_mm2: must be at least 10 mm², the least main bond where PME conditions apply"):
        worked(EARTHING, line_mm2=16, buried="no", pme_conditions="apply", main_bond_mm2=9.9)
    assert result(worked(EARTHING, line_mm2=6, buried="no", pme_conditions="apply", main_bond_mm2=10), SIZE) == 10


def test_pack_without_the_least_size_answers_as_it_did_and_says_so() -> None:
    older = published("bs7671-2018-a4-r4")

    answer = worked_by_rules(older, EARTHING, line_mm2=1.5, buried="no")

    assert result(answer, REQUIRED) == 1.5
    assert "no least size of one that runs on its own" in answer.working[-1].says

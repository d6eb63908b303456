"""Size of earthing and other protective conductors against what is printed.

Sources stand beside the figures. The book itself was not read: Table 54.7 is that of a rules blog (page 280) and a panel
builder's note, Table 54.1 that of electriciansforums 28774, the constants k those of a trade body's pocket guide.
"""

from dataclasses import replace
from typing import Any

import pytest
from tests.calculations.changed import with_cell, worked_by_rules
from tests.calculations.test_main_bond import assert_last_step_gives_the_result, out_of_range, refused, used, with_use
from tests.calculations.worked import pack, result, worked

from bondwright.errors import Contradiction
from bondwright.rulebook.sizing import FromValue

EARTHING, HEATING = "earthing-conductor-size", "protective-conductor-heating"
REQUIRED, SIZE = "required_earthing_conductor", "earthing_conductor_size"
BARE_IN_GROUND = {"buried": "yes", "protected_against_corrosion": "no"}
SHEATHED = {"buried": "yes", "protected_against_corrosion": "yes", "protected_mechanically": "no"}
PROTECTED = {"buried": "yes", "protected_against_corrosion": "yes", "protected_mechanically": "yes"}
FAULT: dict[str, Any] = {"fault_current_a": 200, "time_s": 0.4, "arrangement": "in_cable", "insulation": "thermoplastic_70"}


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
    ("current_a", "printed_mm2", "made_mm2"),
    [
        (90, 0.49, 1),  # T. Linsley, Basic Electrical Installation Work; the size that is made from the list of sizes
        (200, 1.10, 1.5),  # the same, with the size that is made
    ],
)
def test_conductor_that_takes_the_heat_is_the_printed_one(current_a: float, printed_mm2: float, made_mm2: float) -> None:
    answer = worked(HEATING, **{**FAULT, "fault_current_a": current_a})

    assert result(answer, "k") == 115
    assert result(answer, "least_size") == pytest.approx(printed_mm2, abs=0.006)
    assert result(answer, "stocked_size") == made_mm2


@pytest.mark.parametrize(("current_a", "size_mm2"), [(384, 6), (640, 10), (1023, 16), (1599, 25)])
def test_separate_conductor_takes_for_5_seconds_what_was_worked_out_by_hand(current_a: float, size_mm2: float) -> None:
    """k of 143 and IEC 60228 sizes; worked out apart from this code, in whole amperes."""
    answer = worked(HEATING, fault_current_a=current_a, time_s=5, arrangement="separate", insulation="thermoplastic_70")

    assert result(answer, "least_size") == pytest.approx(size_mm2, rel=0.002)


@pytest.mark.parametrize(
    ("arrangement", "metal", "insulation", "size", "printed_k"),
    [
        # The pocket guide's tables 43.1 and 54.2 to 54.5.
        ("live_conductor", "copper", "thermoplastic_70", "up_to_300", 115),
        ("live_conductor", "copper", "thermoplastic_90", "above_300", 86),
        ("live_conductor", "copper", "thermosetting_60", "up_to_300", 141),
        ("separate", "copper", "thermoplastic_70", "up_to_300", 143),
        ("separate", "copper", "thermoplastic_70", "above_300", 133),
        ("separate", "aluminium", "thermosetting_90", "up_to_300", 116),
        ("separate", "steel", "thermoplastic_70", "up_to_300", 52),
        ("in_cable", "copper", "thermosetting_90", "up_to_300", 143),
        ("sheath_or_armour", "steel", "thermoplastic_70", "up_to_300", 51),
        ("sheath_or_armour", "lead", "thermosetting_90", "up_to_300", 23),
        ("conduit", "steel", "thermosetting_90", "up_to_300", 58),
    ],
)
def test_constant_k_is_the_printed_one(arrangement: str, metal: str, insulation: str, size: str, printed_k: float) -> None:
    answer = worked(HEATING, fault_current_a=100, time_s=1, arrangement=arrangement, metal=metal, insulation=insulation, size=size)

    assert result(answer, "k") == printed_k
    assert result(answer, "least_size") == pytest.approx(100 / printed_k)


ROWS_UP_TO_300 = [keys for keys, _ in pack().references["k-values"] if keys[-1] == "up_to_300"]


@pytest.mark.parametrize(("arrangement", "metal", "insulation", "size"), ROWS_UP_TO_300)
def test_formula_gives_every_constant_of_the_table(arrangement: str, metal: str, insulation: str, size: str) -> None:
    answer = worked(HEATING, fault_current_a=100, time_s=1, arrangement=arrangement, metal=metal, insulation=insulation, size=size)

    assert result(answer, "k_from_constants") == pytest.approx(result(answer, "k"), abs=1)


def test_no_temperature_is_told_above_300_mm2_so_the_formula_is_left_out() -> None:
    answer = worked(HEATING, **FAULT, size="above_300")

    assert [one.name for one in answer.results] == ["least_size", "k"]
    assert_last_step_gives_the_result(answer)


@pytest.mark.parametrize(
    ("arrangement", "metal"),
    [
        ("sheath_or_armour", "steel"),
        ("sheath_or_armour", "aluminium"),
        ("sheath_or_armour", "lead"),
        ("conduit", "steel"),
        ("separate", "steel"),
    ],
)
def test_what_is_no_cable_has_no_size_that_is_made(arrangement: str, metal: str) -> None:
    answer = worked(HEATING, fault_current_a=200, time_s=1, arrangement=arrangement, metal=metal, insulation="thermoplastic_70")

    assert [one.name for one in answer.results] == ["least_size", "k", "k_from_constants"]
    assert_last_step_gives_the_result(answer)


def test_aluminium_is_made_from_10_mm2_up() -> None:
    """IEC 60228 as cable makers print it has no smaller one."""
    answer = worked(HEATING, fault_current_a=100, time_s=1, arrangement="separate", metal="aluminium", insulation="thermoplastic_70")

    assert result(answer, "least_size") == pytest.approx(100 / 95)
    assert result(answer, "stocked_size") == 10


def test_heating_tells_its_units_and_the_last_step_gives_the_size() -> None:
    answer = worked(HEATING, **FAULT)

    units = {one.name: one.unit for one in answer.results}
    assert units == {"stocked_size": "mm2", "least_size": "mm2", "k": "A·s^0.5/mm2", "k_from_constants": "A·s^0.5/mm2"}
    assert_last_step_gives_the_result(answer)
    assert answer.weakest_source == "from_memory"


def test_5_seconds_are_taken_and_more_are_refused() -> None:
    assert result(worked(HEATING, **{**FAULT, "time_s": 5}), "least_size") == pytest.approx(200 * 5**0.5 / 115)
    assert refused(HEATING, **{**FAULT, "time_s": 5.01}) == ["/time_s"]


@pytest.mark.parametrize(
    ("inputs", "place", "way_out"),
    [
        ({"metal": "lead"}, "/metal", "copper, aluminium"),
        ({"arrangement": "conduit", "metal": "copper"}, "/metal", "steel"),
        ({"insulation": "bare"}, "/insulation", "thermoplastic_70, thermoplastic_90, thermosetting_90, thermosetting_60"),
        ({"fault_current_a": 100_000, "time_s": 5}, "/size", "above_300"),
    ],
)
def test_heating_that_the_tables_do_not_know_is_refused_with_what_they_do(inputs: dict[str, Any], place: str, way_out: str) -> None:
    with pytest.raises(Contradiction) as caught:
        worked(HEATING, **{**FAULT, **inputs})

    ((pointer, detail),) = [(fault.pointer, fault.detail) for fault in caught.value.faults]
    assert pointer == place
    assert way_out in detail


@pytest.mark.parametrize(
    ("inputs", "place"),
    [({"fault_current_a": 0}, "/fault_current_a"), ({"time_s": 0}, "/time_s"), ({"arrangement": "in_air"}, "/arrangement")],
)
def test_fault_out_of_range_is_refused_at_its_place(inputs: dict[str, Any], place: str) -> None:
    assert out_of_range(HEATING, **{**FAULT, **inputs}) == [place]


def test_cells_of_the_pack_decide_the_heating() -> None:
    k = with_cell("k-values", "in_cable", "copper", "thermoplastic_70", "up_to_300", value=100)
    longest = with_cell("adiabatic-longest-time", value=10)
    final = with_cell("k-final-temperature", "in_cable", "copper", "thermoplastic_70", value=250)

    assert result(worked_by_rules(k, HEATING, **FAULT), "least_size") == pytest.approx(200 * 0.4**0.5 / 100)
    assert result(worked_by_rules(longest, HEATING, **{**FAULT, "time_s": 9}), "least_size") == pytest.approx(200 * 3 / 115)
    assert result(worked_by_rules(final, HEATING, **FAULT), "k_from_constants") > 150

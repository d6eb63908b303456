"""Protective conductors by the heat of a fault, against what is printed.

Sources stand beside the figures. The book itself was not read: the constants k are those of a trade body's pocket guide.
"""

from typing import Any

import pytest
from tests.calculations.changed import with_cell, worked_by, worked_by_rules
from tests.calculations.test_main_bond import assert_last_step_gives_the_result, out_of_range, refused
from tests.calculations.worked import pack, result, worked
from tests.rules.revisions import published

from bondwright.errors import Contradiction
from bondwright.shelf.packs import draft_pack, rules_folder

HEATING = "protective-conductor-heating"
FAULT: dict[str, Any] = {"fault_current_a": 200, "time_s": 0.4, "arrangement": "in_cable", "insulation": "thermoplastic_70"}


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
    ],
)
def test_what_is_no_cable_has_no_size_that_is_made(arrangement: str, metal: str) -> None:
    answer = worked(HEATING, fault_current_a=200, time_s=1, arrangement=arrangement, metal=metal, insulation="thermoplastic_70")

    assert [one.name for one in answer.results] == ["least_size", "k", "k_from_constants"]
    assert_last_step_gives_the_result(answer)


@pytest.mark.parametrize(("metal", "least_mm2"), [("copper", 4), ("aluminium", 16)])
def test_international_rules_have_their_own_least_sizes(metal: str, least_mm2: float) -> None:
    """IEC 60364-5-54, 543.1.3, from memory: 4 mm² of copper or 16 mm² of aluminium without protection."""
    international = draft_pack(rules_folder(), "iec60364/2017")
    inputs = {**FAULT, "arrangement": "separate", "metal": metal}

    assert result(worked_by(international, HEATING, **inputs), "stocked_size") == least_mm2


@pytest.mark.parametrize("pack_id", ["bs7671-2018-a4-r4", "iec60364-2017-r4"])
def test_packs_that_tell_no_least_size_go_by_heat_alone(pack_id: str) -> None:
    older = published(pack_id)
    inputs = {**FAULT, "arrangement": "separate"}

    assert result(worked_by(older, HEATING, **inputs), "stocked_size") == 1
    assert result(worked_by(older, HEATING, **inputs, metal="aluminium"), "stocked_size") == 10


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

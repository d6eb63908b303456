"""The nearest mistakes with each kind of calculation, and the message that each gets: its place, what is wrong, the unit, a way out."""

from collections.abc import Iterator
from typing import Any

import pytest
from tests.calculations.worked import worked
from tests.described import schema_of

from bondwright.calculations.catalogue import CALCULATIONS
from bondwright.errors import Fault, Refused
from bondwright.units import unit_of_field

SOUND: dict[str, dict[str, Any]] = {
    "main-bond-size": {"pme_conditions": "apply", "neutral_mm2": 25},
    "earthing-conductor-size": {"line_mm2": 25, "buried": "no"},
    "protective-conductor-heating": {
        "fault_current_a": 2000,
        "time_s": 0.4,
        "arrangement": "separate",
        "insulation": "thermoplastic_70",
    },
    "supplementary-bond-size": {"pairing": "exposed_to_exposed", "protected": "yes", "lesser_cpc_mm2": 2.5},
    "conductor-resistance": {"size_mm2": 10, "length_m": 20},
    "greatest-length": {"size_mm2": 10, "resistance_limit_ohm": 0.05},
    "continuity-reading": {"size_mm2": 10, "length_m": 15, "lowest_temperature_c": 5, "highest_temperature_c": 30},
    "pipe-conductance": {"metal": "copper", "outside_mm": 15},
    "isolation-limit": {},
    "isolation-reading": {"measured_ohm": 150_000},
    "operating-current": {"device": "bs3036", "rated_a": 30},
    "resistance-limit": {"device": "B", "rated_a": 32},
    "water-column": {"length_m": 3, "bore_mm": 15, "water": "hard"},
    "water-length": {"bore_mm": 15, "water": "hard"},
    "body-current": {"touch_voltage_v": 50},
    "earth-fault": {
        "system": "tn_s",
        "supply": {"line_ohm": 0.2, "return_ohm": 0.15, "source_electrode_ohm": 0},
        "circuit": {"r1_ohm": 0.3, "r2_ohm": 0.46},
    },
    "open-pen": {"loads": [{"power_w": 4600}], "source_electrode_ohm": 0},
    "shared-riser": {
        "flats": [{"name": "flat 1", "bond_ohm": 0.04, "loads": [{"power_w": 4600}]}, {"name": "flat 2", "bond_ohm": 0.04, "pen_ohm": 0.1}],
        "source_electrode_ohm": 0,
    },
    "electrode-limit": {"residual_current_a": 0.03},
    "loop-impedance-limit": {"operating_current_a": 160},
    "disconnection-time": {"system": "tn", "voltage_v": 230},
}
LEFT_OUT = "left out"


def faults(calculation: str, **changed: Any) -> dict[str, str]:
    """What a calculation is refused for, by place, with some of its sound inputs changed or left out."""
    inputs = {name: value for name, value in {**SOUND[calculation], **changed}.items() if value != LEFT_OUT}
    with pytest.raises(Refused) as refused:
        worked(calculation, **inputs)
    return {fault.pointer: fault.detail for fault in refused.value.faults}


def numbers(calculation: str) -> Iterator[tuple[str, float, float]]:
    """Each input that is a number, with its range."""
    for name, schema in schema_of(CALCULATIONS[calculation].inputs)["properties"].items():
        for one in schema.get("anyOf", [schema]):
            if one.get("type") == "number":
                yield name, one["minimum"], one["maximum"]


EVERY_NUMBER = [pytest.param(kind, *number, id=f"{kind} {number[0]}") for kind in SOUND for number in numbers(kind)]

EVERY_NAME = [pytest.param(kind, number[0], id=f"{kind} {number[0]}") for kind in SOUND for number in numbers(kind)]


def test_every_kind_has_sound_inputs_and_mistakes() -> None:
    assert set(SOUND) == set(CALCULATIONS) == {kind for kind, *_ in MISTAKES}


@pytest.mark.parametrize("calculation", SOUND)
def test_what_is_called_sound_here_is_taken(calculation: str) -> None:
    assert worked(calculation, **SOUND[calculation]).results


@pytest.mark.parametrize(("calculation", "name", "lowest", "highest"), EVERY_NUMBER)
def test_a_number_outside_its_range_is_told_range_and_unit(calculation: str, name: str, lowest: float, highest: float) -> None:
    for outside in (lowest - 1, highest * 1.01):
        said = faults(calculation, **{name: outside})[f"/{name}"]

        assert said.startswith(f"write a number from {lowest:.12g} to {highest:.12g}, in {unit_of_field(name)}")


@pytest.mark.parametrize(("calculation", "name"), EVERY_NAME)
def test_a_number_in_text_is_told_its_unit(calculation: str, name: str) -> None:
    said = faults(calculation, **{name: f"-5 {unit_of_field(name)}!"})[f"/{name}"]

    assert f", in {unit_of_field(name)}" in said
    assert "the number alone" in said or "text such as `0.05 ohm`" in said


@pytest.mark.parametrize(("calculation", "name"), EVERY_NAME)
def test_another_unit_in_the_name_is_told_the_right_one(calculation: str, name: str) -> None:
    stem = name[: name.rindex("_")]

    said = faults(calculation, **{f"{stem}_k{name[len(stem) + 1 :]}": 1})

    close = next(detail for detail in said.values() if detail.startswith("unknown key; did you mean"))
    assert "its number is in " in close


@pytest.mark.parametrize("calculation", [kind for kind, sound in SOUND.items() if sound])
def test_what_is_left_out_is_told_what_to_write(calculation: str) -> None:
    needed = [name for name, field in CALCULATIONS[calculation].inputs.model_fields.items() if field.is_required()]

    for name in needed:
        said = faults(calculation, **{name: LEFT_OUT})[f"/{name}"]
        assert said.startswith("needed: write ")
        assert unit_of_field(name) is None or f", in {unit_of_field(name)}" in said


MM2, IN_A = "write a number from 0.1 to 1000, in mm²", ", in A"
MISTAKES: list[tuple[str, dict[str, Any], str, str]] = [
    ("main-bond-size", {"neutral_mm2": LEFT_OUT}, "/neutral_mm2", f"needed for this calculation with the other inputs as they are: {MM2}"),
    ("main-bond-size", {"neutral_mm2": "25mm"}, "/neutral_mm2", f"{MM2}; the number alone"),
    ("main-bond-size", {"neutral_mm2": "7/.064"}, "/neutral_mm2", "7/.064 is 14.5 mm²"),
    ("main-bond-size", {"neutral": 25}, "/neutral", "did you mean `neutral_mm2`? its number is in mm²"),
    ("main-bond-size", {"pme_conditions": "yes"}, "/pme_conditions", "write one of `apply`, `do_not_apply`"),
    ("earthing-conductor-size", {"buried": "yes"}, "/protected_against_corrosion", "is buried: write one of `yes`, `no`"),
    ("earthing-conductor-size", {"buried": True}, "/buried", "write one of `yes`, `no`"),
    ("earthing-conductor-size", {"pme_conditions": "apply"}, "/main_bond_mm2", MM2),
    ("earthing-conductor-size", {"main_bond_mm2": 10}, "/pme_conditions", "write one of `apply`, `do_not_apply`"),
    ("protective-conductor-heating", {"time_s": 400}, "/time_s", "5 s"),
    ("protective-conductor-heating", {"time_ms": 400}, "/time_ms", "did you mean `time_s`? its number is in s, so convert it"),
    ("protective-conductor-heating", {"fault_current_a": "2 kA"}, "/fault_current_a", f"{IN_A}; the number alone"),
    ("protective-conductor-heating", {"fault_current_ka": 2}, "/fault_current_ka", "`fault_current_a`? its number is in A, so convert it"),
    ("supplementary-bond-size", {"lesser_cpc_mm2": LEFT_OUT}, "/lesser_cpc_mm2", MM2),
    ("supplementary-bond-size", {"cpc_mm2": 2.5}, "/cpc_mm2", "leave it out for exposed_to_exposed"),
    ("supplementary-bond-size", {"location_kind": "vehicle_charging"}, "/location_kind", "leave it out for the largest of them"),
    ("conductor-resistance", {"size_mm2": 7}, "/size_mm2", "next below is 6 mm², next above 10 mm²"),
    ("conductor-resistance", {"size": 10}, "/size", "did you mean `size_mm2`? its number is in mm²"),
    ("conductor-resistance", {"length_m": "20 m"}, "/length_m", "write a number from 0 to 10000, in m; the number alone"),
    ("conductor-resistance", {"length_mm": 20_000}, "/length_mm", "did you mean `length_m`? its number is in m, so convert it"),
    ("conductor-resistance", {"length_m": 20_000}, "/length_m", "in m; a number of mm is divided by 1000"),
    ("greatest-length", {"size_mm2": 9.6}, "/size_mm2", "7/.052 is 9.59 mm²"),
    ("greatest-length", {"resistance_limit_ohm": "0.05 ohm"}, "/resistance_limit_ohm", "in ohm; the number alone"),
    ("continuity-reading", {"longest_m": 10}, "/longest_m", "at least /length_m, which is 15 m"),
    ("continuity-reading", {"measured_ohm": "0,02 ohm"}, "/measured_ohm", "a number with a point, one space, and mohm, ohm"),
    ("continuity-reading", {"highest_temperature_c": LEFT_OUT}, "/highest_temperature_c", "write a number from -50 to 300, in °C"),
    ("pipe-conductance", {"outside_mm": 20}, "/outside_mm", "next below is 15 mm, next above 22 mm"),
    ("pipe-conductance", {"metal": "steel"}, "/wall_mm", "write a number from 0.1 to 100, in mm"),
    ("pipe-conductance", {"outside_mm": 0.015}, "/outside_mm", "in mm; a number of m is multiplied by 1000"),
    ("pipe-conductance", {"metal": "steel", "outside_mm": LEFT_OUT, "nominal": "DN25"}, "/nominal", "such as `dn25`: dn in small letters"),
    ("pipe-conductance", {"nominal": "dn25", "outside_mm": LEFT_OUT}, "/metal", "must be steel where the nominal size is given"),
    ("isolation-limit", {"touch_current": "10 mA"}, "/touch_current", "`let_go`, `rcd`"),
    ("isolation-limit", {"touch_currant": "rcd"}, "/touch_currant", "did you mean `touch_current`?"),
    (
        "isolation-reading",
        {"measured_ohm": LEFT_OUT},
        "/measured_ohm",
        "in ohm, or text such as `0.05 ohm`, `<0.01 ohm`, `150 kohm`, `>999 MΩ`",
    ),
    ("isolation-reading", {"measured_ohm": "OL"}, "/measured_ohm", "`>999 MΩ`"),
    ("isolation-reading", {"measured_kohm": 150}, "/measured_kohm", "`measured_ohm`? its number is in ohm, so convert it"),
    ("operating-current", {"rated_a": 25}, "/rated_a", "next below is 20 A, next above 30 A"),
    ("operating-current", {"rated_a": "30A"}, "/rated_a", f"{IN_A}; the number alone"),
    ("operating-current", {"device": "B", "rated_a": LEFT_OUT}, "/rated_a", IN_A),
    ("operating-current", {"device": "rcd", "rated_a": LEFT_OUT, "rated_residual_a": 300}, "/rated_residual_a", "mA is divided by 1000"),
    ("resistance-limit", {"device": LEFT_OUT}, "/rated_a", "a rating needs its `device`"),
    (
        "resistance-limit",
        {"device": LEFT_OUT, "rated_a": LEFT_OUT},
        "/operating_current_a",
        "`device` with its rating: write a number from ",
    ),
    ("resistance-limit", {"measured_ohm": "0.3"}, "/measured_ohm", "text such as `0.05 ohm`"),
    ("water-column", {"bore_mm": 0.015}, "/bore_mm", "in mm; a number of m is multiplied by 1000"),
    (
        "water-column",
        {"water": LEFT_OUT},
        "/conductivity_us_per_cm",
        "or else `water` by its name: write a number from 1 to 100000, in µS/cm",
    ),
    (
        "water-column",
        {"water": LEFT_OUT, "conductivity_us_per_cm": 0.6},
        "/conductivity_us_per_cm",
        "a number of mS/cm is multiplied by 1000",
    ),
    ("water-length", {"limit_ohm": "22 kohm"}, "/limit_ohm", "in ohm; the number alone"),
    ("water-length", {"limit_kohm": 22}, "/limit_kohm", "`limit_ohm`? its number is in ohm, so convert it"),
    ("body-current", {"touch_voltage_v": 20}, "/touch_voltage_v", "must be from 25 to 1000, the ends of the table, in V"),
    ("body-current", {"touch_voltage": 50}, "/touch_voltage", "did you mean `touch_voltage_v`? its number is in V"),
    ("earth-fault", {"system": "tt"}, "/electrode_ohm", "needed in TT: write a number from 0 to 1000000000, in ohm"),
    ("earth-fault", {"system": "tt"}, "/supply/return_ohm", "leave it out in TT"),
    ("earth-fault", {"parts": [{"name": "pipe"}]}, "/parts/0", "write `to_earth_ohm` or `main_bond_ohm`, in ohm"),
    ("earth-fault", {"between": [{"a": "case", "b": "bath"}]}, "/between/0/b", "write `case`, `terminal`, `earth`, or the name of one"),
    ("open-pen", {"loads": [{"power_kw": 4.6}]}, "/loads/0/power_kw", "`power_w`? its number is in W, so convert it"),
    ("open-pen", {"loads": [{"power_w": 0.5}]}, "/loads/0/power_w", "in W; a number of kW is multiplied by 1000"),
    ("open-pen", {"loads": [{"power_w": "4.6 kW"}]}, "/loads/0/power_w", "in W; the number alone"),
    ("shared-riser", {"flats": [{"name": "1", "bond_mohm": 40}]}, "/flats/0/bond_mohm", "`bond_ohm`? its number is in ohm, so convert it"),
    ("shared-riser", {"flats": [{"name": "1/2", "bond_ohm": 0.1}]}, "/flats/0/name", "letters, digits, space, underscore and hyphen"),
    ("electrode-limit", {"residual_current_a": "30 mA"}, "/residual_current_a", f"{IN_A}; the number alone"),
    ("electrode-limit", {"residual_current_ma": 30}, "/residual_current_ma", "`residual_current_a`? its number is in A, so convert it"),
    ("electrode-limit", {"measured_ohm": "200"}, "/measured_ohm", "in ohm, or text such as"),
    ("loop-impedance-limit", {"rated_a": 32}, "", "known here are `rule_pack`, `u0_v`, `operating_current_a`"),
    ("loop-impedance-limit", {"operating_current_a": "160A"}, "/operating_current_a", f"{IN_A}; the number alone"),
    ("disconnection-time", {"voltage_v": 30}, "/voltage_v", "write a voltage above 50 V"),
    ("disconnection-time", {"system": "TN-S"}, "/system", "write one of `tn`, `tt`"),
]


@pytest.mark.parametrize(("calculation", "changed", "pointer", "says"), MISTAKES, ids=lambda value: value if isinstance(value, str) else "")
def test_a_mistake_is_told_its_place_and_the_way_out(calculation: str, changed: dict[str, Any], pointer: str, says: str) -> None:
    said = faults(calculation, **changed)

    assert says in said[pointer]


@pytest.mark.parametrize(("calculation", "changed"), [(kind, changed) for kind, changed, *_ in MISTAKES])
def test_no_message_leaves_its_reader_with_a_pattern(calculation: str, changed: dict[str, Any]) -> None:
    assert [Fault(place, said) for place, said in faults(calculation, **changed).items() if "^" in said or "$" in said] == []

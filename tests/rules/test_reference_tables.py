"""The reference tables: well formed, in the order that physics asks for, and equal to what is published of them.

Sources stand beside the cells. "Guide" is the Guide to the Wiring Regulations, 17th edition, Appendix 3, with Tables 41.2 and 41.3 of 2008;
"pocket guide" a trade body's on protective conductors, page 25; "adoption" a page with 543 of NEN 1010, the Dutch IEC 60364-5-54.
"""

import math
from collections import Counter
from itertools import pairwise
from pathlib import Path
from typing import Any, TypeAlias

import pytest
import yaml
from fluids.piping import nearest_pipe
from phreeqpython import PhreeqPython
from tests.outside.test_conductor_tables import ALUMINIUM, COPPER
from tests.outside.test_heating_of_conductors import heat_of
from tests.outside.test_tap_water_conductivity import WATERS
from tests.rules.whole import WHOLE

from bondwright.calculators.adiabatic import Metal, heating_constant
from bondwright.calculators.water import column_resistance, greatest_conductivity_at
from bondwright.shelf.packs import draft_pack

RULES = Path(__file__).parents[2] / "rules"
LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
TABLES: dict[str, dict[str, Any]] = yaml.load((RULES / "reference.yaml").read_text(encoding="utf-8"), LOADER)["references"]
Keys: TypeAlias = tuple[str | float, ...]

every_table = pytest.mark.parametrize("name", TABLES)


def cells(name: str) -> dict[Keys, float]:
    """The numbers of a table by their keys."""
    return {tuple(row[:-2]): row[-2] for row in TABLES[name]["rows"]}


def column(name: str, *keys: str) -> list[tuple[float, float]]:
    """(last key, number) pairs of the rows whose keys begin so, by rising last key, which is a number."""
    return sorted((float(key[-1]), number) for key, number in cells(name).items() if key[:-1] == keys)


def beginnings(name: str) -> list[Keys]:
    """All keys but the last, once each."""
    return list(dict.fromkeys(key[:-1] for key in cells(name)))


def metal(name: str) -> Metal:
    found = {constant: number for (of, constant), number in cells("metal-constants").items() if of == name}
    return Metal(found["heat_capacity_j_per_k_mm3"], found["beta_c"], found["resistivity_20_ohm_mm"], 20)


@pytest.mark.parametrize("edition", ["bs7671/2018-a4", "iec60364/2017"])
def test_strict_reader_of_both_families_finds_the_same_numbers(edition: str) -> None:
    read = draft_pack(RULES, edition).references

    assert {name: {keys: cell.value for keys, cell in table} for name, table in read.items()} == {name: cells(name) for name in TABLES}


@every_table
def test_every_mark_is_declared_and_used(name: str) -> None:
    assert {row[-1] for row in TABLES[name]["rows"]} == set(TABLES[name]["sources"])


@every_table
@pytest.mark.parametrize("file", ["sources.yaml", "iec60364/sources.yaml"])
def test_every_source_stands_in_the_sources_of_both_families(name: str, file: str) -> None:
    known = yaml.load(WHOLE[file], LOADER)["sources"]

    assert {mark["from"] for mark in TABLES[name]["sources"].values()} <= set(known)


@every_table
def test_rows_are_as_long_as_their_columns_and_no_keys_are_repeated(name: str) -> None:
    rows = TABLES[name]["rows"]

    assert {len(row) for row in rows} == {len(TABLES[name]["by"]) + 2}
    assert [keys for keys, count in Counter(tuple(row[:-2]) for row in rows).items() if count > 1] == []


@every_table
def test_numbers_are_finite_and_above_nothing(name: str) -> None:
    assert [number for number in cells(name).values() if not 0 < number < math.inf] == []


@every_table
def test_what_is_from_memory_says_so_wherever_it_rests_on_memory(name: str) -> None:
    from_memory = {"practice", "iec-60364-5-54", "iec-60479-2005"}

    for mark in TABLES[name]["sources"].values():
        assert (mark["confidence"] == "from_memory") == (mark["from"] in from_memory)


@pytest.mark.parametrize("keys", beginnings("conductor-resistance"))
def test_resistance_falls_with_size(keys: tuple[str, ...]) -> None:
    assert all(after < before for (_, before), (_, after) in pairwise(column("conductor-resistance", *keys)))


def test_aluminium_has_more_resistance_than_copper_of_its_size() -> None:
    copper = dict(column("conductor-resistance", "copper", "class_2"))

    assert all(1.6 < ohm / copper[size] < 1.7 for size, ohm in column("conductor-resistance", "aluminium", "class_2"))


@pytest.mark.parametrize(
    ("conductor_class", "most"),
    [("class_1", 0.118), ("class_2", 0.118), ("class_5", 0.1358)],  # 50 mm² of aluminium; 1.5 mm² of copper
)
def test_resistivity_over_size_lies_below_the_table_by_no_more_than_the_spread(conductor_class: str, most: float) -> None:
    """17.241 ohm·mm²/km of annealed copper (IEC 60028) over the nominal size, beside what cable makers print of IEC 60228."""
    ohm_mm2 = cells("metal-resistivity")
    tabled = {keys: ohm for keys, ohm in cells("conductor-resistance").items() if keys[1] == conductor_class}
    below = [1 - 1000 * ohm_mm2[(keys[0],)] / float(keys[2]) / ohm for keys, ohm in tabled.items()]
    spread = cells("resistance-spread")[(conductor_class,)]

    assert max(below) == pytest.approx(most, abs=0.0005)
    assert 0.9 * spread < max(below) < spread


@pytest.mark.parametrize(
    ("keys", "printed"), [(("copper", "class_2"), COPPER), (("aluminium", "class_1"), ALUMINIUM), (("aluminium", "class_2"), ALUMINIUM)]
)
def test_resistances_are_those_that_cable_makers_print(keys: tuple[str, ...], printed: dict[float, float]) -> None:
    """IEC 60228 in four makers' copies."""
    assert dict(column("conductor-resistance", *keys)) == printed


@pytest.mark.parametrize("name", ["fuse-current-0-4-s", "fuse-current-5-s"])
@pytest.mark.parametrize("fuse", ["bs3036", "bs1361", "bs88_gg", "bs88_gg_1988"])
def test_fuse_current_rises_with_the_rating_and_lies_well_above_it(name: str, fuse: str) -> None:
    rows = column(name, fuse)

    assert all(before < after for (_, before), (_, after) in pairwise(rows))
    assert all(current > 2 * rated for rated, current in rows)


@pytest.mark.parametrize("keys", beginnings("body-impedance"))
def test_body_impedance_does_not_rise_with_voltage(keys: tuple[str, ...]) -> None:
    assert all(after <= before for (_, before), (_, after) in pairwise(column("body-impedance", *keys)))


@pytest.mark.parametrize("edition", ["iec_479_1_1994", "iec_60479_1_2005"])
def test_body_impedance_rises_with_the_percentile(edition: str) -> None:
    low, middle, high = (column("body-impedance", edition, percentile) for percentile in ("p5", "p50", "p95"))

    assert all(low_ohm < ohm < high_ohm for (_, low_ohm), (_, ohm), (_, high_ohm) in zip(low, middle, high, strict=True))


def test_better_conductor_has_the_greater_k_in_the_same_arrangement() -> None:
    order, found = ("copper", "aluminium", "steel", "lead"), cells("k-values")
    pairs = [
        (k, found[(arrangement, worse, *rest)])
        for (arrangement, better, *rest), k in found.items()
        for worse in order[order.index(str(better)) + 1 :]
        if (arrangement, worse, *rest) in found
    ]

    assert len(pairs) > 30
    assert all(better > worse for better, worse in pairs)


def test_large_conductor_has_no_greater_k() -> None:
    found = cells("k-values")

    assert all(found[(*keys[:3], "above_300")] <= k for keys, k in found.items() if keys[3] == "up_to_300")


@pytest.mark.parametrize("keys", beginnings("k-values"))
def test_k_follows_from_the_constants_and_the_temperatures(keys: Keys) -> None:
    """Annex A of IEC 60364-5-54; printed values are whole numbers, one of them cut off."""
    initial, final = cells("k-initial-temperature")[keys], cells("k-final-temperature")[keys]

    assert heating_constant(metal(str(keys[1])), initial, final) == pytest.approx(cells("k-values")[(*keys, "up_to_300")], abs=0.61)


def test_k_that_is_less_above_300_mm2_follows_from_140_degrees() -> None:
    found, initial = cells("k-values"), cells("k-initial-temperature")
    less = {keys[:3]: k for keys, k in found.items() if keys[3] == "above_300" and k < found[(*keys[:3], "up_to_300")]}

    assert {keys: heating_constant(metal(str(keys[1])), initial[keys], 140) for keys in less} == pytest.approx(less, abs=0.61)


@pytest.mark.parametrize("name", ["copper", "aluminium", "steel"])
def test_coefficient_and_resistivity_are_those_of_the_constants(name: str) -> None:
    assert cells("temperature-coefficient")[(name,)] == pytest.approx(1 / (metal(name).beta_c + 20), rel=0.002)
    assert cells("metal-resistivity")[(name,)] == pytest.approx(1000 * metal(name).resistivity_ohm_mm)


@pytest.mark.parametrize(
    ("symbol", "name", "share"), [("Cu", "copper", 0.001), ("Pb", "lead", 0.015), ("Al", "aluminium", 0.035), ("Fe", "steel", 0.075)]
)
def test_heat_capacity_is_that_of_the_element(symbol: str, name: str, share: float) -> None:
    """Density times specific heat, from the mendeleev tables."""
    assert heat_of(symbol) == pytest.approx(metal(name).heat_j_per_k_mm3, rel=share)


@pytest.mark.parametrize(
    ("fuse", "printed"),
    [
        ("bs88_gg_1988", {6: 8.52, 10: 5.11, 16: 2.70, 20: 1.77, 25: 1.44, 32: 1.04}),
        ("bs1361", {5: 10.45, 15: 3.28, 20: 1.70, 30: 1.15}),
        ("bs3036", {5: 9.58, 15: 2.55, 20: 1.77, 30: 1.09}),
    ],
)
def test_fuse_currents_at_0_4_s_give_the_printed_loop_impedances(fuse: str, printed: dict[float, float]) -> None:
    """Guide, Table 41.2 at 230 V; cut off or rounded in the last digit."""
    assert {rated: 230 / current for rated, current in column("fuse-current-0-4-s", fuse)} == pytest.approx(printed, abs=0.01)


def test_present_fuse_at_0_4_s_gives_the_loop_impedances_of_the_newsletter() -> None:
    """A trade body's newsletter, winter 2011-12, page 60: BS 88-2:2010, systems E and G, at 230 V."""
    printed = {6: 8.21, 10: 4.89, 16: 2.56, 20: 1.77, 25: 1.35, 32: 1.04}

    assert {rated: 230 / current for rated, current in column("fuse-current-0-4-s", "bs88_gg")} == pytest.approx(printed, abs=0.006)


@pytest.mark.parametrize("name", ["fuse-current-0-4-s", "fuse-current-5-s"])
def test_fuse_whose_marking_was_not_read_has_the_greater_current_of_the_old_and_the_present_one(name: str) -> None:
    unread, old = column(name, "bs88_gg"), column(name, "bs88_gg_1988")

    assert [rated for rated, _ in unread] == [rated for rated, _ in old]
    assert all(current >= before for (_, current), (_, before) in zip(unread, old, strict=True))


def test_residual_current_is_marked_in_milliampere() -> None:
    assert all(marking == pytest.approx(1000 * float(size)) for (size,), marking in cells("residual-current-marking").items())


@pytest.mark.parametrize(("breaker", "printed_ohm_ampere"), [("B", 46), ("C", 23), ("D", 11.5)])
@pytest.mark.parametrize("time", ["within_0_4_s", "within_5_s"])
def test_breaker_multiples_give_the_printed_loop_impedances(breaker: str, printed_ohm_ampere: float, time: str) -> None:
    """Guide, Table 41.3: one figure for both times, over the rating."""
    assert 230 / cells("breaker-multiple")[(breaker, time)] == printed_ohm_ampere


def test_water_conducts_better_from_kind_to_kind() -> None:
    found = cells("water-conductivity")
    kinds = [found[(kind,)] for kind in ("soft", "moderate", "hard", "very_hard")]

    assert kinds == sorted(set(kinds))


@pytest.mark.parametrize(
    ("water", "bore_mm", "temperature_c", "measured_ohm", "share"),
    [
        ("moderate", 15, 15, 115_000, 0.17),
        ("moderate", 15, 15, 100_000, 0.03),
        ("moderate", 20, 15, 65_000, 0.17),
        ("dosed_heating", 15, 60, 20_200, 0.14),
    ],
)
def test_metre_of_water_has_less_than_was_measured(
    water: str, bore_mm: float, temperature_c: float, measured_ohm: float, share: float
) -> None:
    """ERA for the IEE, in the bulletin of 2002; 15 °C of the tap water is assumed."""
    most, least = (dict(column("water-temperature-ratio", which)) for which in ("most", "least"))
    conducts = greatest_conductivity_at(temperature_c, cells("water-conductivity")[(water,)], 20, most, least)

    assert measured_ohm * (1 - share) < column_resistance(1, bore_mm, conducts) <= measured_ohm


@pytest.mark.parametrize("growth", ["most", "least"])
def test_ratios_of_water_rise_from_0_to_100_degrees_through_1_at_20(growth: str) -> None:
    found = dict(column("water-temperature-ratio", growth))

    assert list(found) == [*range(0, 101, 5)]
    assert list(found.values()) == sorted(set(found.values()))
    assert found[20] == 1


def test_every_water_has_a_temperature_in_use() -> None:
    found = cells("water-temperature-in-use")

    waters = {str(keys[0]) for keys in found}
    assert waters == {*(str(keys[0]) for keys in cells("water-conductivity")), "drinking_water_limit", "unknown"}
    assert all(0 <= found[(water, "lowest")] < found[(water, "highest")] <= found[("unknown", "highest")] <= 100 for water in waters)


def test_very_hard_water_is_that_of_burton() -> None:
    """Analysis of "Brewing Waters of the World" (brewery.org, 1995), by PHREEQC at 20 °C."""
    ions = WATERS["Burton"]
    solution = PhreeqPython().add_solution(
        {"units": "mg/l", "pH": 7.5, "temp": 20, "Alkalinity": f"{ions['HCO3']} as HCO3", "S(6)": f"{ions['SO4']} as SO4"}
        | {ion: ions[ion] for ion in ("Ca", "Mg", "Na", "Cl")}
    )

    assert cells("water-conductivity")[("very_hard",)] == pytest.approx(solution.sc, rel=0.005)


@pytest.mark.parametrize("nominal", [15, 20, 25, 32, 40, 50, 65, 80, 100])
def test_steel_tube_has_the_wall_of_the_library_and_just_less_than_its_greatest_diameter(nominal: int) -> None:
    """BS 1387 medium in the fluids library, whose outside diameters are the greatest allowed."""
    _, _, outside_m, wall_m = nearest_pipe(NPS=nominal, schedule="BS1387MEDIUM")

    assert cells("steel-tube-wall")[(f"dn{nominal}",)] == pytest.approx(wall_m * 1000)
    assert 0.98 < cells("steel-tube-outside")[(f"dn{nominal}",)] / (outside_m * 1000) < 1


def test_times_of_disconnection_fall_with_voltage_and_those_of_tt_are_shorter() -> None:
    for current in ("ac", "dc"):
        tn, tt = column("disconnection-time", "tn", current), column("disconnection-time", "tt", current)
        assert all(after < before for rows in (tn, tt) for (_, before), (_, after) in pairwise(rows))
        assert all(shorter <= longer for (_, longer), (_, shorter) in zip(tn, tt, strict=True))


@pytest.mark.parametrize(
    ("name", "keys", "printed"),
    [
        ("temperature-coefficient", ("copper",), 0.00393),  # Industrial Power Engineering and Applications Handbook, Table 30.1
        ("k-values", ("separate", "copper", "thermoplastic_70", "up_to_300"), 143),  # pocket guide, Table 54.2
        ("k-values", ("in_cable", "aluminium", "thermosetting_90", "up_to_300"), 94),  # adoption
        ("k-values", ("bare_in_sight", "steel", "bare", "up_to_300"), 82),  # adoption; Electrical Safety of Low-Voltage Systems, Table 11.7
        ("k-final-temperature", ("bare_in_sight", "aluminium", "bare"), 300),  # the same two
        ("fuse-current-0-4-s", ("bs3036", 15), 90),  # Basic Electrical Installation Work, page 251
        ("fuse-current-5-s", ("bs3036", 45), 145),  # IAEI Magazine, 25 July 2016: 50 / 145
        ("copper-tube-wall", (22,), 0.9),  # a copper tube maker's table of EN 1057
        ("steel-tube-outside", ("dn100",), 114.3),  # a steel tube maker's table of EN 10255
        ("body-impedance", ("iec_479_1_1994", "p5", 220), 1000),  # IEC 479-1:1994, Table 1, in the note "GFI"
        ("body-path-factor", ("both_hands_to_both_feet",), 0.5),  # engineering forum, "Why 0.4 s"
        ("disconnection-time", ("tt", "ac", 230), 0.2),  # Table 41.1 in a trade page
        ("other-disconnection-time", ("tt",), 1),  # a trade page on 411.3.2.4
        ("touch-current", ("let_go",), 10),  # Guidance Note 8 as quoted in forums
        ("open-pen-voltage", (), 70),  # engineering forum on 722.411.4.1
        ("greatest-voltage-factor", (), 1.1),  # pages that print Table 1 of IEC 60909-0
        ("least-voltage-factor", (), 0.95),  # Wiring Matters 54, as quoted
        ("adiabatic-longest-time", (), 5),  # Basic Electrical Installation Work, page 353
        ("electrode-touch-voltage", (), 50),  # the On-Site Guide as a forum quotes it: 200 ohm times 250 mA
        ("residual-current-marking", (0.03,), 30),  # common practice
        ("lasting-touch-voltage", ("dc",), 120),  # a university portal's page on limits
        ("lasting-touch-voltage", ("ac_medical",), 25),  # engineering forum on medical locations
    ],
)
def test_cell_is_the_published_one(name: str, keys: Keys, printed: float) -> None:
    assert cells(name)[keys] == printed

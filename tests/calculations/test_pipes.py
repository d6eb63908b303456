"""Walls of metal pipes as conductors, against what makers and the trade print.

Steel tube: a maker's weights for the medium series of EN 10255 and BS 1387. Copper tube of the walls in the table: worked out
by hand from EN 1057 dimensions. A metre of tube weighs its area of metal times its density.
"""

import math
from typing import Any

import pytest
from tests.calculations.changed import with_cell, worked_by_rules
from tests.calculations.test_main_bond import out_of_range, refused, used
from tests.calculations.worked import pack, result, worked

NAME = "pipe-conductance"
STEEL_KG_PER_MM2_M = 7.85e-3  # of common use, from memory
DN25: dict[str, Any] = {"metal": "steel", "nominal": "dn25"}


@pytest.mark.parametrize(
    ("nominal", "printed_kg"), [("dn15", 1.210), ("dn20", 1.560), ("dn25", 2.410), ("dn32", 3.100), ("dn40", 3.570), ("dn50", 5.030)]
)
def test_steel_tube_has_the_metal_that_it_weighs(nominal: str, printed_kg: float) -> None:
    """The weights are rounded by the maker; 3 % covers it."""
    area_mm2 = result(worked(NAME, metal="steel", nominal=nominal), "metal_area")

    assert area_mm2 * STEEL_KG_PER_MM2_M == pytest.approx(printed_kg, rel=0.03)


@pytest.mark.parametrize(
    ("nominal", "area_mm2", "milliohm", "copper_mm2"),
    [
        ("dn15", 153, 0.90, 19),
        ("dn20", 199, 0.70, 25),
        ("dn25", 307, 0.45, 38),
        ("dn32", 394, 0.35, 49),
        ("dn50", 641, 0.22, 80),
        ("dn80", 1067, 0.13, 133),
        ("dn100", 1552, 0.09, 194),
    ],
)
def test_steel_tube_conducts_as_worked_out_by_hand(nominal: str, area_mm2: float, milliohm: float, copper_mm2: float) -> None:
    """From 138 and 17.24 ohm·mm²/km, apart from this code, rounded as shown."""
    answer = worked(NAME, metal="steel", nominal=nominal)

    assert result(answer, "metal_area") == pytest.approx(area_mm2, abs=0.6)
    assert result(answer, "resistance_per_metre") * 1000 == pytest.approx(milliohm, abs=0.006)
    assert result(answer, "copper_equivalent") == pytest.approx(copper_mm2, abs=0.6)


@pytest.mark.parametrize(
    ("outside_mm", "area_mm2", "milliohm"),
    [(10, 17.7, 0.97), (15, 31.4, 0.55), (22, 59.7, 0.29), (28, 76.6, 0.23), (35, 127, 0.14), (42, 154, 0.11), (54, 199, 0.09)],
)
def test_copper_tube_conducts_as_worked_out_by_hand(outside_mm: float, area_mm2: float, milliohm: float) -> None:
    """From 17.24 ohm·mm²/km, apart from this code, rounded as shown."""
    answer = worked(NAME, metal="copper", outside_mm=outside_mm)

    assert result(answer, "metal_area") == pytest.approx(area_mm2, rel=0.004)
    assert result(answer, "resistance_per_metre") * 1000 == pytest.approx(milliohm, abs=0.006)
    assert result(answer, "copper_equivalent") == result(answer, "metal_area")


@pytest.mark.parametrize(
    ("outside_mm", "wall_mm", "printed_kg"), [(12, 1.0, 0.308), (15, 1.0, 0.391), (22, 1.5, 0.860), (28, 1.5, 1.111), (54, 2.0, 2.908)]
)
def test_copper_tube_with_a_wall_of_its_own_has_the_metal_that_it_weighs(outside_mm: float, wall_mm: float, printed_kg: float) -> None:
    """A copper tube maker's table for EN 1057, 8.9 kg to the cubic decimetre."""
    area_mm2 = result(worked(NAME, metal="copper", outside_mm=outside_mm, wall_mm=wall_mm), "metal_area")

    assert area_mm2 * 8.9e-3 == pytest.approx(printed_kg, rel=0.006)


def test_steel_tube_is_worth_an_eighth_of_its_metal() -> None:
    """DIYnot 327120 prints eight times the copper size for steel."""
    answer = worked(NAME, **DN25)

    assert result(answer, "metal_area") / result(answer, "copper_equivalent") == pytest.approx(8, rel=0.01)


def test_copper_pipe_of_28_mm_has_far_more_metal_than_a_bond_of_10_mm2() -> None:
    """A remark on electriciansforums 146235: as metal; the joints are the weak point."""
    assert result(worked(NAME, metal="copper", outside_mm=28), "copper_equivalent") > 7 * 10


def test_nominal_size_stands_for_its_dimensions() -> None:
    assert worked(NAME, **DN25).results == worked(NAME, metal="steel", outside_mm=33.7, wall_mm=3.2).results


def test_results_have_their_units_and_each_a_step() -> None:
    answer = worked(NAME, **DN25)

    assert [(one.name, one.unit) for one in answer.results] == [
        ("metal_area", "mm2"),
        ("resistance_per_metre", "ohm/m"),
        ("copper_equivalent", "mm2"),
    ]
    assert tuple(one.gives for one in answer.working) == answer.results


def test_tables_of_tubes_are_cited_only_where_they_were_used() -> None:
    assert {"steel-tube-outside: dn25", "steel-tube-wall: dn25"} <= set(used(worked(NAME, **DN25)))
    assert used(worked(NAME, metal="steel", outside_mm=33.7, wall_mm=3.2)) == ["metal-resistivity: steel", "metal-resistivity: copper"]


@pytest.mark.parametrize(
    ("inputs", "places"),
    [
        ({"metal": "copper"}, ["/outside_mm"]),
        ({"metal": "copper", "wall_mm": 1}, ["/outside_mm"]),
        ({"metal": "steel", "outside_mm": 33.7}, ["/wall_mm"]),
        ({"metal": "aluminium", "outside_mm": 22}, ["/wall_mm"]),
        ({"metal": "copper", "outside_mm": 21}, ["/outside_mm"]),
        ({"metal": "steel", "nominal": "dn26"}, ["/nominal"]),
        ({"metal": "copper", "nominal": "dn25"}, ["/metal"]),
        ({**DN25, "outside_mm": 33.7, "wall_mm": 3.2}, ["/outside_mm", "/wall_mm"]),
        ({"metal": "steel", "outside_mm": 10, "wall_mm": 5}, ["/wall_mm"]),
    ],
)
def test_pipe_that_is_not_told_or_told_twice_is_refused(inputs: dict[str, Any], places: list[str]) -> None:
    assert refused(NAME, **inputs) == places


@pytest.mark.parametrize(
    ("inputs", "place"),
    [
        ({"metal": "steel", "outside_mm": 0, "wall_mm": 1}, "/outside_mm"),
        ({"metal": "steel", "outside_mm": 10, "wall_mm": 0}, "/wall_mm"),
        ({"metal": "lead", "outside_mm": 10, "wall_mm": 1}, "/metal"),
        ({"metal": "steel", "nominal": "one inch"}, "/nominal"),
    ],
)
def test_input_out_of_range_is_refused_at_its_place(inputs: dict[str, Any], place: str) -> None:
    assert out_of_range(NAME, **inputs) == [place]


def test_cells_of_the_pack_decide() -> None:
    wall = with_cell("steel-tube-wall", "dn25", value=6.4)
    resistivity = with_cell("metal-resistivity", "steel", value=0.276)

    assert result(worked_by_rules(wall, NAME, **DN25), "metal_area") > 1.7 * result(worked(NAME, **DN25), "metal_area")
    assert result(worked_by_rules(resistivity, NAME, **DN25), "copper_equivalent") == pytest.approx(
        result(worked(NAME, **DN25), "copper_equivalent") / 2
    )
    assert pack().references["copper-tube-wall"].cell(15).value == 0.7
    assert result(
        worked_by_rules(with_cell("copper-tube-wall", 15, value=1.0), NAME, metal="copper", outside_mm=15), "metal_area"
    ) == pytest.approx(3.141592654 * 14)


@pytest.mark.parametrize(("outside_mm", "bore_mm"), [(15, 13.6), (22, 20.2), (28, 26.2), (35, 32.6), (54, 51.6)])
def test_copper_tube_conducts_as_the_ring_between_its_diameters(outside_mm: float, bore_mm: float) -> None:
    """A second source that shares neither formula nor table: bores as the trade prints them (from memory), the ring of two circles, and
    58 m/(ohm·mm²), the conductivity of annealed copper (IEC 60028)."""
    answer = worked(NAME, metal="copper", outside_mm=outside_mm)
    ring_mm2 = math.pi / 4 * (outside_mm**2 - bore_mm**2)

    assert result(answer, "resistance_per_metre") == pytest.approx(1 / (58 * ring_mm2), rel=0.001)
    assert result(answer, "copper_equivalent") == pytest.approx(ring_mm2, rel=0.001)

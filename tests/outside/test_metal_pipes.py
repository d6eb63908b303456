"""Metal pipes as conductors, against tables of tube and what they weigh.

Dimensions of steel tube: BS 1387 light, medium and heavy, as the `fluids` library carries them. Weights per metre: a steel
tube maker's table for EN 10255 and BS 1387; a copper tube maker's table for EN 1057. A metre of tube weighs its area of
metal times its density, so the weights know the area without knowing this formula.
"""

import math

import pytest
from fluids.piping import nearest_pipe
from hypothesis import given
from hypothesis import strategies as st
from tests.outside.test_conductor_tables import COPPER

from bondwright.calculators.conductors import copper_equivalent, tabulated_resistance
from bondwright.calculators.pipes import tube_area, tube_copper_equivalent, tube_resistance_per_metre
from bondwright.calculators.ranges import OutOfRange

STEEL_OHM_MM2_PER_M, COPPER_OHM_MM2_PER_M = 0.138, 0.017241
STEEL_KG_PER_MM2_M, COPPER_KG_PER_MM2_M = 7.85e-3, 8.9e-3  # 7.85 of common use, from memory; 8.9 from a copper tube maker

_SIZES = (8, 10, 15, 20, 25, 32, 40, 50)
_WEIGHTS = {
    "LIGHT": (0.515, 0.670, 0.947, 1.380, 1.980, 2.540, 3.230, 4.080),
    "MEDIUM": (0.641, 0.839, 1.210, 1.560, 2.410, 3.100, 3.570, 5.030),
    "HEAVY": (0.765, 1.020, 1.440, 1.870, 2.940, 3.800, 4.380, 6.190),
}
STEEL_TUBES = [(series, size, weight) for series, weights in _WEIGHTS.items() for size, weight in zip(_SIZES, weights, strict=True)]

tubes = st.tuples(st.floats(1, 1000), st.floats(0.01, 0.49)).map(lambda tube: (tube[0], tube[0] * tube[1]))


def steel_tube(series: str, size: int) -> tuple[float, float, float]:
    """Inside diameter, outside diameter and wall in mm, from the library's table."""
    _, inside_m, outside_m, wall_m = nearest_pipe(NPS=size, schedule=f"BS1387{series}")
    return inside_m * 1000, outside_m * 1000, wall_m * 1000


@pytest.mark.parametrize(("series", "size", "printed_kg"), STEEL_TUBES)
def test_steel_tube_has_the_metal_that_it_weighs(series: str, size: int, printed_kg: float) -> None:
    _, outside_mm, wall_mm = steel_tube(series, size)

    assert tube_area(outside_mm, wall_mm) * STEEL_KG_PER_MM2_M == pytest.approx(printed_kg, rel=0.03)


@pytest.mark.parametrize(("series", "size"), [(series, size) for series, size, _ in STEEL_TUBES])
def test_area_lies_between_the_circles_of_the_tabulated_diameters(series: str, size: int) -> None:
    inside_mm, outside_mm, wall_mm = steel_tube(series, size)

    assert tube_area(outside_mm, wall_mm) == pytest.approx(math.pi / 4 * (outside_mm**2 - inside_mm**2), rel=0.03)


@pytest.mark.parametrize(
    ("outside_mm", "wall_mm", "printed_kg"),
    [
        (10, 1.0, 0.252),
        (12, 1.0, 0.308),
        (15, 1.0, 0.391),
        (15, 1.2, 0.463),
        (18, 1.0, 0.475),
        (22, 1.0, 0.587),
        (22, 1.5, 0.860),
        (28, 1.5, 1.111),
        (35, 1.5, 1.405),
        (42, 1.5, 1.699),
        (54, 2.0, 2.908),
    ],
)
def test_copper_tube_has_the_metal_that_it_weighs(outside_mm: float, wall_mm: float, printed_kg: float) -> None:
    assert tube_area(outside_mm, wall_mm) * COPPER_KG_PER_MM2_M == pytest.approx(printed_kg, rel=0.006)


def test_medium_steel_tube_of_25_mm_is_worth_about_39_mm2_of_copper() -> None:
    """312 mm² of steel over eight; DIYnot 327120 prints eight times the copper size for steel."""
    _, outside_mm, wall_mm = steel_tube("MEDIUM", 25)

    assert tube_area(outside_mm, wall_mm) == pytest.approx(312, abs=0.5)
    assert tube_copper_equivalent(outside_mm, wall_mm, STEEL_OHM_MM2_PER_M, COPPER_OHM_MM2_PER_M) == pytest.approx(312 / 8, rel=0.01)


@pytest.mark.parametrize(
    ("outside_mm", "wall_mm", "ohm_mm2_per_m", "worked_out_milliohm"),
    [
        pytest.param(15, 0.7, COPPER_OHM_MM2_PER_M, 0.55, id="copper 15 mm"),
        pytest.param(22, 0.9, COPPER_OHM_MM2_PER_M, 0.29, id="copper 22 mm"),
        pytest.param(28, 0.9, COPPER_OHM_MM2_PER_M, 0.23, id="copper 28 mm"),
        pytest.param(21.3, 2.6, STEEL_OHM_MM2_PER_M, 0.90, id="steel 15 mm"),
        pytest.param(33.7, 3.2, STEEL_OHM_MM2_PER_M, 0.45, id="steel 25 mm"),
        pytest.param(60.3, 3.6, STEEL_OHM_MM2_PER_M, 0.22, id="steel 50 mm"),
    ],
)
def test_metre_of_pipe_has_the_resistance_worked_out_by_hand(
    outside_mm: float, wall_mm: float, ohm_mm2_per_m: float, worked_out_milliohm: float
) -> None:
    """Dimensions of EN 1057 and EN 10255; worked out apart from this code."""
    assert tube_resistance_per_metre(outside_mm, wall_mm, ohm_mm2_per_m) * 1000 == pytest.approx(worked_out_milliohm, abs=0.006)


def test_copper_pipe_of_28_mm_has_far_more_metal_than_a_bond_of_10_mm2() -> None:
    """A remark on electriciansforums 146235: as metal; the joints are the weak point."""
    assert tube_area(28, 0.9) > 7 * 10


@given(tubes)
def test_comparing_metal_with_metal_is_the_cautious_way(tube: tuple[float, float]) -> None:
    """A cable has less copper than its nominal size, so a table of cables makes more of the same pipe."""
    table_of_the_tube = {tube_area(*tube): tube_resistance_per_metre(*tube, STEEL_OHM_MM2_PER_M) * 1000}
    of_cables = copper_equivalent(tube_area(*tube), table_of_the_tube, COPPER)

    assert tube_copper_equivalent(*tube, STEEL_OHM_MM2_PER_M, COPPER_OHM_MM2_PER_M) <= of_cables


def test_tube_and_cable_of_one_resistance_agree_about_it() -> None:
    """DIYnot 327120: 48 mm² of steel serves for 6 mm² of copper."""
    wall_mm = 1.0
    outside_mm = 48 / math.pi / wall_mm + wall_mm

    milliohm = tube_resistance_per_metre(outside_mm, wall_mm, STEEL_OHM_MM2_PER_M) * 1000

    assert milliohm == pytest.approx(tabulated_resistance(6, COPPER), rel=0.07)


@pytest.mark.parametrize(
    ("outside_mm", "wall_mm"), [(0, 1), (10, 0), (10, 5), (10, 6), (-10, -1), (float("nan"), 1), (10, float("nan")), (float("inf"), 1)]
)
def test_impossible_tube_is_refused(outside_mm: float, wall_mm: float) -> None:
    with pytest.raises(OutOfRange):
        tube_area(outside_mm, wall_mm)


@pytest.mark.parametrize("ohm_mm2_per_m", [0, -0.1, float("nan"), float("inf")])
def test_impossible_resistivity_is_refused(ohm_mm2_per_m: float) -> None:
    with pytest.raises(OutOfRange):
        tube_resistance_per_metre(22, 0.9, ohm_mm2_per_m)
    with pytest.raises(OutOfRange):
        tube_copper_equivalent(22, 0.9, 0.0172, ohm_mm2_per_m)
    with pytest.raises(OutOfRange):
        tube_copper_equivalent(22, 0.9, ohm_mm2_per_m, 0.0172)

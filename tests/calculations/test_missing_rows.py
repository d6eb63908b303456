"""What no table has is refused with its neighbours in the table."""

from typing import Any

import pytest
from tests.calculations.worked import pack, worked

from bondwright.calculations.rows import no_row
from bondwright.calculators.conductors import area_of_imperial
from bondwright.errors import Fault, Refused

IMPERIAL = (
    "an old imperial size goes by its area: 7/.029 is 2.98 mm², 7/.036 is 4.6 mm², 7/.044 is 6.87 mm², 7/.052 is 9.59 mm²,"
    " 7/.064 is 14.5 mm²"
)


def refused(calculation: str, **inputs: Any) -> Fault:
    """The one fault of a calculation that is refused."""
    with pytest.raises(Refused) as error:
        worked(calculation, **inputs)
    (fault,) = error.value.faults
    return fault


@pytest.mark.parametrize(
    ("size_mm2", "neighbours"),
    [
        pytest.param(0.75, "the smallest row is 1 mm²", id="below the smallest"),
        pytest.param(7, "next below is 6 mm², next above 10 mm²", id="imperial 7/.044"),
        pytest.param(14.5, "next below is 10 mm², next above 16 mm²", id="imperial 7/.064"),
        pytest.param(15.99, "next below is 10 mm², next above 16 mm²", id="just below a row"),
        pytest.param(16.01, "next below is 16 mm², next above 25 mm²", id="just above a row"),
        pytest.param(999, "the largest row is {largest} mm²", id="above the largest"),
    ],
)
def test_a_size_that_is_not_made_is_told_its_neighbours(size_mm2: float, neighbours: str) -> None:
    """The sizes are those of IEC 60228, class 2."""
    largest = max(pack().references["conductor-resistance"].column("copper", "class_2"))

    fault = refused("conductor-resistance", size_mm2=size_mm2, length_m=20)

    assert fault.pointer == "/size_mm2"
    assert f"no row for it in table `conductor-resistance`; {neighbours.format(largest=f'{largest:g}')}" in fault.detail


def test_a_size_that_is_not_made_may_be_an_imperial_one() -> None:
    fault = refused("conductor-resistance", size_mm2=14.5, length_m=20)

    assert fault.detail.endswith(IMPERIAL)


def test_an_imperial_size_in_text_is_told_its_area() -> None:
    fault = refused("main-bond-size", pme_conditions="apply", neutral_mm2="7/.064")

    assert fault.pointer == "/neutral_mm2"
    assert fault.detail.startswith("write a number from 0.1 to 1000, in mm²; the number alone")
    assert fault.detail.endswith(IMPERIAL)


@pytest.mark.parametrize(
    ("imperial", "printed_mm2"), [("7/.029", 3.0), ("7/.036", 4.5), ("7/.044", 7.0), ("7/.052", 10.0), ("7/.064", 14.5)]
)
def test_area_of_an_imperial_size_is_the_nominal_one(imperial: str, printed_mm2: float) -> None:
    """Square inches of the old tables (from memory): 0.0045, 0.007, 0.01, 0.0145 (0.015) and 0.0225, times 645.16; to within 7 %."""
    assert area_of_imperial(imperial) == pytest.approx(printed_mm2, rel=0.07)


@pytest.mark.parametrize(
    ("rated_a", "neighbours"),
    [
        (4, "the smallest row is 5 A"),
        (25, "next below is 20 A, next above 30 A"),
        (125, "the largest row is 100 A"),
    ],
)
def test_a_fuse_that_is_not_made_is_told_the_nearest_ratings(rated_a: float, neighbours: str) -> None:
    """Rewireable fuses of BS 3036 are made for 5, 15, 20, 30, 45, 60 and 100 A."""
    fault = refused("operating-current", device="bs3036", rated_a=rated_a, time="within_5_s")

    assert fault == Fault("/rated_a", f"no row for it in table `fuse-current-5-s`; {neighbours}; there are 5, 15, 20, 30, 45, 60, 100 A")


@pytest.mark.parametrize(
    ("nominal", "neighbours"),
    [
        ("dn10", "the smallest row is dn15"),
        ("dn22", "next below is dn20, next above dn25"),
        ("dn90", "next below is dn80, next above dn100"),
        ("dn125", "the largest row is dn100"),
    ],
)
def test_a_nominal_size_that_is_not_made_is_told_the_nearest(nominal: str, neighbours: str) -> None:
    """Nominal sizes of EN 10255: 15, 20, 25, 32, 40, 50, 65, 80, 100."""
    fault = refused("pipe-conductance", metal="steel", nominal=nominal)

    assert fault.pointer == "/nominal"
    assert neighbours in fault.detail


def test_a_tube_that_is_not_made_is_told_the_nearest() -> None:
    """EN 1057 has 15 and 22 mm; 20 mm is a size of plastic pipe."""
    fault = refused("pipe-conductance", metal="copper", outside_mm=20)

    assert "next below is 15 mm, next above 22 mm" in fault.detail


def test_a_table_without_rows_for_the_device_says_which_it_has() -> None:
    held = pack().references["fuse-current-5-s"]

    assert no_row(held, ("no_fuse", 32.0)) == (
        "table `fuse-current-5-s` of this rule pack has no rows for no_fuse; there are bs3036, bs1361, bs88_gg, bs88_gg_1988"
    )


def test_a_choice_has_no_neighbours() -> None:
    assert no_row(pack().references["lasting-touch-voltage"], ("pool",)).startswith(
        "no row for it in table `lasting-touch-voltage`; there are "
    )

"""Operating currents, limits and body currents against a second source that shares neither formula nor table with the calculations.

ngspice drives the currents through resistances; the gates of gG fuses in IEC 60269-1 and the ranges of circuit-breakers in IEC 60898-1
are from memory; instruments are simulated, 30 % of what they show out at most (IEC 61557, from memory).
"""

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.calculations.worked import judged, result, worked
from tests.outside.networks.spice import answers, needs_ngspice

GATE_5_S_A = {16: 65, 20: 85, 25: 110, 32: 150, 40: 190, 50: 250, 63: 320, 80: 425, 100: 580, 160: 950, 200: 1250}
"""The greatest current at which a gG fuse may still take 5 s: IEC 60269-1, from memory."""
GATE_0_1_S_A = {16: 150, 20: 200, 25: 260, 32: 350}
"""The greatest current at which it may still take 0.1 s: the same, from memory."""
IN_SERIES_OHM = (0, 1000, 22_000)
PATHS = {
    "hand_to_hand": ("hand", "other_hand"),
    "hand_to_both_feet": ("hand", "foot", "other_foot"),
    "both_hands_to_foot": ("foot", "hand", "other_hand"),
    "hand_to_trunk": ("hand", "trunk"),
}
"""Of each path through the body: where the voltage stands, and what is joined to the other pole."""
PRINTED_1994_OHM = {50: 1450, 220: 1000}
"""IEC 479-1:1994, 5 per cent, as the note "GFI" prints it."""


@pytest.mark.parametrize("fuse", ["bs88_gg", "bs88_gg_1988"])
@pytest.mark.parametrize("rated_a", GATE_5_S_A)
def test_gg_fuse_keeps_within_the_gate_at_5_s_and_near_it(fuse: str, rated_a: float) -> None:
    found = result(worked("operating-current", device=fuse, rated_a=rated_a, time="within_5_s"), "operating_current")

    assert 0.8 * GATE_5_S_A[int(rated_a)] < found <= GATE_5_S_A[int(rated_a)]


@pytest.mark.parametrize("fuse", ["bs88_gg", "bs88_gg_1988"])
@pytest.mark.parametrize("rated_a", GATE_0_1_S_A)
def test_gg_fuse_at_0_4_s_lies_between_the_gates_of_5_s_and_of_0_1_s(fuse: str, rated_a: float) -> None:
    found = result(worked("operating-current", device=fuse, rated_a=rated_a, time="within_0_4_s"), "operating_current")

    assert GATE_5_S_A[int(rated_a)] < found < GATE_0_1_S_A[int(rated_a)]


@pytest.mark.parametrize(("breaker", "range_a"), [("B", (48, 80)), ("C", (80, 160)), ("D", (160, 320))])
def test_circuit_breaker_of_16_ampere_acts_at_the_end_of_its_range(breaker: str, range_a: tuple[float, float]) -> None:
    """IEC 60898-1: 3 to 5, 5 to 10 and 10 to 20 times the rating, from memory."""
    assert result(worked("operating-current", device=breaker, rated_a=16), "operating_current") == max(range_a)


@needs_ngspice
def test_current_that_operates_the_device_drops_no_more_than_the_touch_voltage(tmp_path: Path) -> None:
    """Of bonding and of an electrode: 50 V, to a millionth; 1 % more resistance would be too much."""
    bonding = {a: result(worked("resistance-limit", operating_current_a=a), "limit") for a in (0.03, 30, 145, 160, 30_000)}
    electrode = {a: result(worked("electrode-limit", residual_current_a=a), "electrode_limit") for a in (0.03, 0.1, 0.3, 0.5, 3)}
    driven = [*bonding.items(), *electrode.items()]
    netlist = [line for at, (a, ohm) in enumerate(driven) for line in (f"i{at} 0 n{at} dc {a!r}", f"r{at} n{at} 0 {ohm!r}")]

    found = answers("op", netlist, [f"v(n{at})" for at in range(len(driven))], tmp_path)

    assert [volt.real for volt in found.values()] == pytest.approx([50] * len(driven), rel=1e-6)


@needs_ngspice
@pytest.mark.parametrize(("touch_current", "printed_ma"), [("perception", 0.5), ("five", 5), ("let_go", 10), ("rcd", 30)])
def test_part_at_the_isolation_limit_drives_the_touch_current_through_a_body(touch_current: str, printed_ma: float, tmp_path: Path) -> None:
    """230 V and a body of 1000 ohm, as Guidance Note 8 is quoted; the limit is never so low that more flows."""
    limit = result(worked("isolation-limit", touch_current=touch_current), "limit")

    found = answers("op", ["v1 line 0 dc 230", f"r1 line part {limit!r}", "r2 part 0 1000"], ["i(v1)"], tmp_path)

    assert -found["i(v1)"].real * 1000 == pytest.approx(printed_ma, rel=1e-6)


@needs_ngspice
@pytest.mark.parametrize("path", PATHS)
@pytest.mark.parametrize("voltage_v", PRINTED_1994_OHM)
def test_body_of_four_like_limbs_carries_the_current(path: str, voltage_v: int, tmp_path: Path) -> None:
    """Each limb has half of what stands between the hands, and the trunk nothing."""
    live, *others = PATHS[path]
    limb = PRINTED_1994_OHM[voltage_v] / 2
    found = []
    for series in IN_SERIES_OHM:
        limbs = [f"r{at} {end} trunk {limb}" for at, end in enumerate(("hand", "other_hand", "foot", "other_foot"))]
        poles = [f"v{end} {end} pole dc 0" for end in others]
        netlist = [f"v1 {live} 0 dc {voltage_v}", *limbs, *poles, f"rs pole 0 {max(series, 1e-6)}"]
        found.append(-answers("op", netlist, ["i(v1)"], tmp_path)["i(v1)"].real)

    ours = [
        result(worked("body-current", touch_voltage_v=voltage_v, edition="iec_479_1_1994", path=path, series_ohm=series), "current")
        for series in IN_SERIES_OHM
    ]
    assert ours == pytest.approx(found, rel=1e-6)


def word(calculation: str, read: Fraction) -> str:
    """How a reading is judged against the limit of 22,000 ohm, or of 166.7 ohm."""
    asked = {"isolation-reading": {}, "resistance-limit": {"operating_current_a": 0.3}, "electrode-limit": {"residual_current_a": 0.3}}
    return judged(worked(calculation, measured_ohm=float(read), **asked[calculation]), "reading")


@given(st.fractions(0, 3, max_denominator=1000), st.fractions(Fraction(-3, 10), Fraction(3, 10), max_denominator=1000))
def test_no_instrument_within_its_error_makes_a_true_value_pass_that_does_not(share: Fraction, error: Fraction) -> None:
    """A simulated instrument, whose error is a share of what it shows; the true value is a share of the limit."""
    for calculation, limit in (
        ("isolation-reading", Fraction(22_000)),
        ("resistance-limit", Fraction(500, 3)),
        ("electrode-limit", Fraction(500, 3)),
    ):
        said = word(calculation, share * limit / (1 + error))
        if share < 1:
            assert said not in ("at_or_above", "above")
        if share > 1:
            assert said not in ("at_or_below", "below")


@pytest.mark.parametrize(
    ("read", "said"), [(16_920, "below"), (16_930, "within_uncertainty"), (31_420, "within_uncertainty"), (31_430, "at_or_above")]
)
def test_reading_decides_from_the_furthest_that_an_instrument_may_show(read: int, said: str) -> None:
    """By hand: 22,000 ohm shows as 16,923 to 31,429 ohm on an instrument that is out by 30 % of what it shows."""
    assert word("isolation-reading", Fraction(read)) == said

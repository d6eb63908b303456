"""Operating currents and the greatest resistance at which bonding is effective, against figures printed in the trade.

Sources stand beside each row; "Scaddan" is Brian Scaddan's text in IAEI Magazine, 25 July 2016; "Linsley" is T. Linsley, Basic
Electrical Installation Work.
"""

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.calculations.changed import with_cell, worked_by, worked_by_rules
from tests.calculations.worked import judged, pack, published, result, worked

from bondwright.errors import Refused
from bondwright.rulebook.reference import Key


def current(**inputs: Any) -> float:
    """The operating current in ampere."""
    return result(worked("operating-current", **inputs), "operating_current")


def limit(**inputs: Any) -> float:
    """The greatest resistance in ohm."""
    return result(worked("resistance-limit", **inputs), "limit")


@pytest.mark.parametrize(
    ("inputs", "printed_a"),
    [
        pytest.param({"device": "B", "rated_a": 6}, 30, id="type B of 6 A: electriciansforums 57264, 83471"),
        pytest.param({"device": "bs3036", "rated_a": 45, "time": "within_5_s"}, 145, id="rewireable fuse of 45 A at 5 s: Scaddan"),
        pytest.param({"device": "bs3036", "rated_a": 15, "time": "within_0_4_s"}, 90, id="rewireable fuse of 15 A at 0.4 s: Linsley"),
        pytest.param({"device": "rcd", "rated_residual_a": 0.3}, 0.3, id="residual current device of 300 mA: Italian test sheet"),
    ],
)
def test_operating_current_is_the_printed_one(inputs: dict[str, Any], printed_a: float) -> None:
    assert current(**inputs) == printed_a


@pytest.mark.parametrize(
    ("inputs", "printed_ohm"),
    [
        pytest.param({"device": "D", "rated_a": 16, "time": "within_0_4_s"}, 0.68, id="type D of 16 A, in public tables"),
        pytest.param({"device": "B", "rated_a": 32}, 1.37, id="type B of 32 A (from memory)"),
        pytest.param({"device": "C", "rated_a": 20}, 1.09, id="type C of 20 A (from memory)"),
        pytest.param({"device": "bs3036", "rated_a": 30, "time": "within_5_s"}, 2.51, id="rewireable fuse of 30 A at 5 s (from memory)"),
        pytest.param(
            {"device": "bs3036", "rated_a": 30, "time": "within_0_4_s"}, 1.04, id="rewireable fuse of 30 A at 0.4 s (from memory)"
        ),
        pytest.param({"device": "bs1361", "rated_a": 60, "time": "within_5_s"}, 0.66, id="cartridge fuse of 60 A at 5 s (from memory)"),
        pytest.param({"device": "bs88_gg", "rated_a": 32, "time": "within_5_s"}, 1.75, id="gG fuse of 32 A at 5 s (from memory)"),
        pytest.param({"device": "bs88_gg", "rated_a": 32, "time": "within_0_4_s"}, 0.99, id="gG fuse of 32 A at 0.4 s (from memory)"),
    ],
)
def test_loop_impedance_of_the_17th_edition_amendment_3_follows_from_the_current(inputs: dict[str, Any], printed_ohm: float) -> None:
    """Two columns, current and impedance, that must agree: 230 V, of which 0.95 are left."""
    assert 230 * 0.95 / current(**inputs) == pytest.approx(printed_ohm, abs=0.006)


@pytest.mark.parametrize(("breaker", "multiple"), [("type_1", 4), ("type_2", 7), ("type_3", 10), ("type_4", 50)])
def test_old_circuit_breaker_acts_at_the_upper_end_of_its_range(breaker: str, multiple: float) -> None:
    """The ranges of the old types are from memory."""
    answer = worked("operating-current", device=breaker, rated_a=20)

    assert result(answer, "operating_current") == 20 * multiple
    assert answer.weakest_source == "from_memory"


@pytest.mark.parametrize(("breaker", "multiple"), [("B", 5), ("C", 10), ("D", 20)])
@pytest.mark.parametrize("time", ["within_0_4_s", "within_5_s"])
def test_circuit_breaker_acts_at_the_upper_end_of_its_range_whatever_the_time(breaker: str, multiple: float, time: str) -> None:
    """Guide to the Wiring Regulations, 17th edition: one figure for 0.4 s and 5 s. Later public tables halve C and D at 5 s."""
    assert current(device=breaker, rated_a=16, time=time) == 16 * multiple


@pytest.mark.parametrize(
    ("inputs", "printed_ohm", "last_digit_ohm"),
    [
        pytest.param({"device": "B", "rated_a": 6}, 1.67, 0.005, id="type B of 6 A: electriciansforums 83471"),
        pytest.param({"device": "bs3036", "rated_a": 45, "time": "within_5_s"}, 0.34, 0.005, id="rewireable fuse of 45 A at 5 s: Scaddan"),
        pytest.param({"device": "rcd", "rated_residual_a": 0.03}, 1667, 0.5, id="30 mA: electriciansforums 57264, 60825"),
        pytest.param({"device": "rcd", "rated_residual_a": 0.3}, 166.7, 0.05, id="300 mA: Italian test sheet"),
        pytest.param({"operating_current_a": 145}, 0.34, 0.005, id="the current itself: Scaddan"),
    ],
)
def test_limit_at_50_volts_is_the_printed_one(inputs: dict[str, Any], printed_ohm: float, last_digit_ohm: float) -> None:
    assert limit(**inputs) == pytest.approx(printed_ohm, abs=last_digit_ohm)


def test_the_rating_never_stands_for_the_operating_current() -> None:
    """electriciansforums 60825 divides by the rating of 32 A and prints 50 / 32 = 1.563 ohm; it acts at 160 A."""
    assert limit(device="B", rated_a=32) == 0.3125


def test_a_rating_without_its_device_is_refused() -> None:
    with pytest.raises(Refused) as refused:
        worked("resistance-limit", rated_a=32)

    assert refused.value.faults[0].pointer == "/rated_a"


def test_medical_location_halves_the_limit() -> None:
    """25 V in medical locations: forum threads on section 710 (EngX 24520, 31871)."""
    assert limit(device="B", rated_a=16, voltage="ac_medical") == limit(device="B", rated_a=16) / 2


def test_limit_of_direct_current_goes_by_120_volts() -> None:
    """120 V d.c. is printed on pages about conventional limits."""
    assert limit(operating_current_a=60, voltage="dc") == 2


@pytest.mark.parametrize(("measured_ohm", "word"), [(0.2, "at_or_below"), (0.3, "within_uncertainty"), (0.6, "above")])
def test_a_reading_is_judged_with_the_uncertainty_of_the_instrument(measured_ohm: float, word: str) -> None:
    """0.34 ohm for the fuse of 45 A, and an instrument that may be 30 % out."""
    assert judged(worked("resistance-limit", device="bs3036", rated_a=45, time="within_5_s", measured_ohm=measured_ohm), "reading") == word


def test_without_a_reading_nothing_is_judged() -> None:
    assert worked("resistance-limit", operating_current_a=160).judgements == ()


def test_limit_of_alternating_current_is_cited_from_the_rule_of_verdicts() -> None:
    answer = worked("resistance-limit", device="B", rated_a=32)

    assert "touch-voltage-limit" in [cited.what for cited in answer.sources]


def test_working_goes_from_the_rating_over_the_current_to_the_limit() -> None:
    answer = worked("resistance-limit", device="C", rated_a=20, time="within_5_s")

    assert [(one.gives.name, one.gives.value, one.gives.unit) for one in answer.working] == [
        ("operating_current", 200, "A"),
        ("limit", 0.25, "ohm"),
    ]
    assert answer.working[-1].gives == answer.results[0]


@pytest.mark.parametrize(
    ("table", "keys", "inputs"),
    [
        ("breaker-multiple", ("type_2", "within_5_s"), {"device": "type_2", "rated_a": 45}),
        ("breaker-multiple", ("B", "within_0_4_s"), {"device": "B", "rated_a": 45, "time": "within_0_4_s"}),
        ("fuse-current-5-s", ("bs3036", 45), {"device": "bs3036", "rated_a": 45, "time": "within_5_s"}),
        ("fuse-current-0-4-s", ("bs88_gg", 32), {"device": "bs88_gg", "rated_a": 32, "time": "within_0_4_s"}),
    ],
)
def test_a_cell_changed_in_the_tables_changes_the_operating_current(table: str, keys: tuple[Key, ...], inputs: dict[str, Any]) -> None:
    changed = with_cell(table, *keys, value=2 * pack().references[table].cell(*keys).value)

    assert result(worked_by(changed, "operating-current", **inputs), "operating_current") == 2 * current(**inputs)


def test_a_cell_changed_in_the_table_changes_the_limit_of_verdicts() -> None:
    """`test_moves_with_the_pack` changes the touch voltage itself, in a copy of the files."""
    changed = with_cell("fuse-current-5-s", "bs3036", 45, value=160)

    assert result(worked_by_rules(changed, "resistance-limit", device="bs3036", rated_a=45, time="within_5_s"), "limit") == 0.3125


@pytest.mark.parametrize("voltage", ["ac_medical", "dc"])
def test_a_touch_voltage_changed_in_the_table_changes_the_limit(voltage: str) -> None:
    changed = with_cell("lasting-touch-voltage", voltage, value=80)

    assert result(worked_by(changed, "resistance-limit", device="B", rated_a=32, voltage=voltage), "limit") == 0.5


def test_a_table_that_gives_no_more_than_the_rating_is_refused() -> None:
    changed = with_cell("fuse-current-5-s", "bs3036", 45, value=45)

    with pytest.raises(Refused, match="above the rating"):
        worked_by(changed, "operating-current", device="bs3036", rated_a=45, time="within_5_s")


@pytest.mark.parametrize(
    ("inputs", "pointer", "right"),
    [
        ({"device": "bs3036", "rated_a": 25}, "/rated_a", "there are 5, 15, 20, 30, 45, 60, 100"),
        ({"device": "bs3036", "rated_a": 45, "time": "within_0_4_s"}, "/rated_a", "there are 5, 15, 20, 30"),
        ({"device": "B"}, "/rated_a", "needed"),
        ({"device": "rcd"}, "/rated_residual_a", "needed"),
        ({"device": "rcd", "rated_a": 40, "rated_residual_a": 0.03}, "/rated_a", "left out"),
        ({"device": "rcd", "rated_a": 40}, "/rated_a", "such as 0.03 in `rated_residual_a`"),
        ({"device": "rcd", "rated_a": 0.03}, "/rated_a", "such as 0.03, goes into `rated_residual_a`"),
        ({"device": "rcd", "rated_residual_a": 300}, "/rated_residual_a", "mA is divided by 1000"),
        ({"device": "rcd", "rated_residual_a": 0.004}, "/rated_residual_a", "0.005 to 30"),
        ({"device": "bs3036", "rated_a": 45}, "/time", "write `within_5_s` where that is enough"),
        ({"device": "bs88_gg_1988", "rated_a": 7}, "/rated_a", "there are 6, 10, 16"),
        ({"device": "B", "rated_a": 32, "rated_residual_a": 0.03}, "/rated_residual_a", "left out"),
        ({"device": "B", "rated_a": 0.09}, "/rated_a", "0.1 or more, in ampere"),
        ({"device": "rcd", "rated_residual_a": 30_000}, "/rated_residual_a", "30"),
        ({"device": "K", "rated_a": 32}, "/device", "type_1"),
    ],
)
def test_a_device_that_is_not_made_is_refused_with_what_would_be_right(inputs: dict[str, Any], pointer: str, right: str) -> None:
    with pytest.raises(Refused) as refused:
        worked("operating-current", **inputs)

    assert refused.value.faults[0].pointer == pointer
    assert right in refused.value.faults[0].detail


@pytest.mark.parametrize(
    ("inputs", "pointer"),
    [
        ({}, "/operating_current_a"),
        ({"device": "B", "rated_a": 32, "operating_current_a": 160}, "/operating_current_a"),
        ({"operating_current_a": 0.0049}, "/operating_current_a"),
        ({"operating_current_a": 100_001}, "/operating_current_a"),
        ({"device": "D", "rated_a": 6300}, "/rated_a"),
        ({"rated_residual_a": 0.03}, "/rated_residual_a"),
        ({"operating_current_a": 160, "measured_ohm": -1}, "/measured_ohm"),
        ({"operating_current_a": 160, "voltage": "110"}, "/voltage"),
    ],
)
def test_a_question_that_means_nothing_is_refused_at_its_place(inputs: dict[str, Any], pointer: str) -> None:
    with pytest.raises(Refused) as refused:
        worked("resistance-limit", **inputs)

    assert refused.value.faults[0].pointer == pointer


FUSES_0_4_S = {"bs88_gg": (28, 47, 90, 130, 170, 220), "bs88_gg_1988": (27, 45, 85, 130, 160, 220)}


@pytest.mark.parametrize("fuse", FUSES_0_4_S)
def test_old_and_present_fuses_have_currents_of_their_own_at_0_4_s(fuse: str) -> None:
    """230 V over the loop impedances that a trade body's newsletter of winter 2011-12, page 60, prints beside each other."""
    found = tuple(current(device=fuse, rated_a=rated, time="within_0_4_s") for rated in (6, 10, 16, 20, 25, 32))

    assert found == FUSES_0_4_S[fuse]


def test_without_a_time_the_greater_current_is_taken_and_both_are_shown() -> None:
    """32 A: 220 A within 0.4 s (1.04 ohm in print), 125 A within 5 s (from memory)."""
    answer = worked("operating-current", device="bs88_gg", rated_a=32)

    assert [(one.gives.name, one.gives.value) for one in answer.working] == [
        ("operating_current_within_5_s", 125),
        ("operating_current", 220),
    ]
    assert judged(answer, "time") == "within_0_4_s"
    assert "no time was given" in answer.judgements[0].words
    assert answer.results == (answer.working[-1].gives,)


@pytest.mark.parametrize("time", ["within_0_4_s", "within_5_s"])
def test_time_that_was_given_is_named(time: str) -> None:
    answer = worked("operating-current", device="bs88_gg", rated_a=32, time=time)

    assert judged(answer, "time") == time
    assert "as was asked" in answer.judgements[0].words
    assert len(answer.working) == 1


def test_where_the_time_makes_no_difference_the_answer_says_so() -> None:
    assert judged(worked("operating-current", device="B", rated_a=32), "time") == "either"


@pytest.mark.parametrize(
    ("device", "rated_a"), [("bs88_gg", 32), ("bs88_gg_1988", 16), ("bs3036", 30), ("bs1361", 20), ("C", 20), ("type_4", 5)]
)
@pytest.mark.parametrize("time", ["within_0_4_s", "within_5_s"])
def test_leaving_out_the_time_never_allows_a_greater_resistance(device: str, rated_a: float, time: str) -> None:
    assert limit(device=device, rated_a=rated_a) <= limit(device=device, rated_a=rated_a, time=time)


def test_fuse_beyond_the_table_for_0_4_s_is_worked_out_once_the_time_is_given() -> None:
    """The mistake beside it, no time, is refused above at `/time`."""
    assert limit(device="bs3036", rated_a=45, time="within_5_s") == pytest.approx(50 / 145)


def test_the_limit_is_rounded_down_at_the_end_of_its_range() -> None:
    """50 V over 30,000 A is 0.0016667 ohm, which four decimals made 0.0017."""
    assert limit(operating_current_a=30_000) == 0.001666666666


@given(st.floats(0.005, 100_000))
def test_the_limit_times_the_current_never_exceeds_50_volts(operating_a: float) -> None:
    """Exact arithmetic with fractions, beside a formula in binary; a part in 10 to the 13th is the last digit of that."""
    found = Fraction(limit(operating_current_a=operating_a)) * Fraction(operating_a)

    assert found <= 50 * (1 + Fraction(1, 10**13))
    assert found > 50 * (1 - Fraction(1, 10**8))


@pytest.mark.parametrize("operating_a", [0.005, 100_000])
def test_both_ends_of_the_range_that_is_declared_are_taken(operating_a: float) -> None:
    assert limit(operating_current_a=operating_a) == 50 / operating_a


@pytest.mark.parametrize(("residual_a", "meant"), [(30, "0.03"), (10, "0.01"), (6, "0.006")])
def test_figure_in_milliampere_is_taken_as_ampere_with_a_word_on_it(residual_a: float, meant: str) -> None:
    answer = worked("operating-current", device="rcd", rated_residual_a=residual_a)

    assert result(answer, "operating_current") == residual_a
    assert judged(answer, "residual_current") == "perhaps_milliampere"
    assert f"is written {meant}" in answer.judgements[0].words


@pytest.mark.parametrize("residual_a", [0.006, 0.03, 0.3, 1, 29.9])
def test_other_residual_currents_need_no_word(residual_a: float) -> None:
    assert worked("operating-current", device="rcd", rated_residual_a=residual_a).judgements == ()


def test_a_pack_without_the_old_fuse_says_what_it_lacks() -> None:
    with pytest.raises(Refused, match="/device: table `fuse-current-5-s` of this rule pack has no such fuse") as refused:
        worked_by(published("bs7671-2018-a4-r4"), "operating-current", device="bs88_gg_1988", rated_a=32)

    assert len(refused.value.faults) == 1


def test_a_pack_published_with_the_old_figures_goes_on_giving_them() -> None:
    answer = worked_by(published("bs7671-2018-a4-r4"), "operating-current", device="bs88_gg", rated_a=16, time="within_0_4_s")

    assert result(answer, "operating_current") == 85

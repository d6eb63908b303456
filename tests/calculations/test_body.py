"""Current through the body, as a calculation, against figures of the literature. Nothing here says what is safe.

Impedances: IEC 479-1:1994 table 1 as the note "GFI" (idea2ic) prints it; those of the issue of 2005 are from memory. "EngX": IET EngX
"Why 0.4 s", which prints the model behind the disconnection times: 1000 ohm for shoes and floor, and half the body of the 5 per cent.
"""

from typing import Any

import pytest
from tests.calculations.changed import with_cell, with_value, worked_by
from tests.calculations.worked import judged, pack, result, worked

from bondwright.errors import Refused
from bondwright.members import replace

SHARES = ("p5", "p50", "p95")
PRINTED_1994 = {
    25: (1750, 3250, 6100),
    50: (1450, 2625, 4375),
    75: (1250, 2200, 3500),
    100: (1200, 1875, 3200),
    125: (1125, 1625, 2875),
    220: (1000, 1350, 2125),
    700: (750, 1100, 1550),
    1000: (700, 1050, 1500),
}
MODEL = {"edition": "iec_479_1_1994", "path": "both_hands_to_both_feet", "series_ohm": 1000}


@pytest.mark.parametrize(("voltage_v", "printed_ohm"), [(50, 1725), (100, 1600), (220, 1500)])
def test_body_with_shoes_and_floor_has_the_printed_resistance(voltage_v: float, printed_ohm: float) -> None:
    """EngX."""
    assert result(worked("body-current", touch_voltage_v=voltage_v, **MODEL), "whole_impedance") == pytest.approx(printed_ohm)


@pytest.mark.parametrize(("voltage_v", "printed_ma"), [(50, 29), (220, 147)])
def test_body_with_shoes_and_floor_carries_the_printed_current(voltage_v: float, printed_ma: float) -> None:
    """EngX."""
    assert result(worked("body-current", touch_voltage_v=voltage_v, **MODEL), "current") * 1000 == pytest.approx(printed_ma, abs=0.5)


@pytest.mark.parametrize("voltage_v", PRINTED_1994)
def test_printed_impedances_are_given(voltage_v: float) -> None:
    asked = {"touch_voltage_v": voltage_v, "edition": "iec_479_1_1994"}
    found = [result(worked("body-current", **asked, percentile=share), "table_impedance") for share in SHARES]

    assert found == list(PRINTED_1994[int(voltage_v)])


def test_the_later_issue_differs_from_the_earlier_one() -> None:
    """225 V: 775, 1225 and 1900 ohm, from memory."""
    found = [
        result(worked("body-current", touch_voltage_v=225, percentile=share, edition="iec_60479_1_2005"), "table_impedance")
        for share in SHARES
    ]

    assert found == [775, 1225, 1900]


def test_an_answer_by_the_later_issue_says_that_it_rests_on_memory() -> None:
    assert worked("body-current", touch_voltage_v=50, edition="iec_479_1_1994").weakest_source == "secondary"
    assert worked("body-current", touch_voltage_v=50, edition="iec_60479_1_2005").weakest_source == "from_memory"


def test_halfway_between_two_voltages_the_impedance_lies_halfway() -> None:
    answer = worked("body-current", touch_voltage_v=62.5, edition="iec_479_1_1994")

    assert result(answer, "table_impedance") == (1450 + 1250) / 2


def test_part_at_the_limit_for_10_milliampere_drives_about_that_through_most_people() -> None:
    """The limit of 22 kohm takes a body of 1000 ohm."""
    limit = result(worked("isolation-limit", touch_current="let_go"), "limit")
    answer = worked("body-current", touch_voltage_v=230, percentile="p50", series_ohm=limit)

    assert result(answer, "current") == pytest.approx(0.010, rel=0.02)


def test_the_touch_currents_that_are_exceeded_are_named() -> None:
    answer = worked("body-current", touch_voltage_v=50, **MODEL)

    assert {one.name: one.word for one in answer.judgements} == {
        "edition": "iec_479_1_1994",
        "touch_current_perception": "exceeded",
        "touch_current_five": "exceeded",
        "touch_current_let_go": "exceeded",
        "touch_current_rcd": "not_exceeded",
    }


def test_nothing_promises_safety() -> None:
    """Every comparison says so itself, and so do the limits of validity; a current below every mark of the table is no exception."""
    answer = worked("body-current", touch_voltage_v=25, series_ohm=1_000_000, system="tn")

    compared = [one for one in answer.judgements if one.name != "edition"]
    assert {one.word for one in compared} == {"not_exceeded"}
    assert all("no promise of safety" in one.words for one in compared)
    assert "no promise of safety" in answer.validity[0]
    assert "Keeping that time makes no current safe." in answer.validity


@pytest.mark.parametrize(("system", "printed_s"), [("tn", 0.4), ("tt", 0.2)])
def test_disconnection_time_beside_it_is_the_printed_one(system: str, printed_s: float) -> None:
    """Final circuits at 230 V, as the page "41-1" of a trade site prints them."""
    answer = worked("body-current", touch_voltage_v=50, system=system)

    assert result(answer, "longest_disconnection_time") == printed_s


def test_disconnection_time_does_not_follow_from_the_touch_voltage() -> None:
    times = {
        result(worked("body-current", touch_voltage_v=voltage, system="tt"), "longest_disconnection_time") for voltage in (50, 225, 400)
    }

    assert times == {0.2}


def test_no_time_stands_beside_it_where_no_system_is_given() -> None:
    assert [one.name for one in worked("body-current", touch_voltage_v=50).results] == ["table_impedance", "whole_impedance", "current"]


def test_working_has_units_and_gives_every_result() -> None:
    answer = worked("body-current", touch_voltage_v=50, **MODEL)

    assert [(one.gives.name, one.gives.unit) for one in answer.working] == [
        ("table_impedance", "ohm"),
        ("current", "A"),
        ("whole_impedance", "ohm"),
    ]
    assert {one.gives for one in answer.working} == set(answer.results)


def test_an_impedance_changed_in_the_table_changes_the_current() -> None:
    changed = with_cell("body-impedance", "iec_479_1_1994", "p5", 50, value=1500)

    assert result(worked_by(changed, "body-current", touch_voltage_v=50, **MODEL), "current") == pytest.approx(50 / 1750)


def test_a_path_changed_in_the_table_changes_the_current() -> None:
    changed = with_cell("body-path-factor", "both_hands_to_both_feet", value=1)

    assert result(worked_by(changed, "body-current", touch_voltage_v=50, **MODEL), "whole_impedance") == pytest.approx(2450)


def test_a_touch_current_changed_in_the_table_changes_the_judgement() -> None:
    changed = with_cell("touch-current", "rcd", value=28)

    assert judged(worked_by(changed, "body-current", touch_voltage_v=50, **MODEL), "touch_current_rcd") == "exceeded"


def test_a_time_or_nominal_voltage_changed_in_the_pack_changes_the_time() -> None:
    sooner, lower = with_cell("disconnection-time", "tn", "ac", 230, value=0.3), with_value("nominal_voltage", 110)
    found = [
        result(worked_by(rules, "body-current", touch_voltage_v=50, system="tn"), "longest_disconnection_time") for rules in (sooner, lower)
    ]

    assert found == [0.3, 0.8]


@pytest.mark.parametrize(
    ("inputs", "pointer", "right"),
    [
        ({"touch_voltage_v": 24}, "/touch_voltage_v", "from 25"),
        ({"touch_voltage_v": 1001}, "/touch_voltage_v", "1000"),
        ({}, "/touch_voltage_v", ""),
        ({"touch_voltage_v": 50, "percentile": "p10"}, "/percentile", "p5"),
        ({"touch_voltage_v": 50, "path": "head_to_foot"}, "/path", "hand_to_foot"),
        ({"touch_voltage_v": 50, "series_ohm": -1}, "/series_ohm", "0"),
        ({"touch_voltage_v": 50, "system": "it"}, "/system", "tt"),
    ],
)
def test_a_body_that_the_tables_do_not_know_is_refused_at_its_place(inputs: dict[str, Any], pointer: str, right: str) -> None:
    with pytest.raises(Refused) as refused:
        worked("body-current", **inputs)

    assert refused.value.faults[0].pointer == pointer
    assert right in refused.value.faults[0].detail


def test_without_an_edition_the_greater_current_is_taken_and_both_are_shown() -> None:
    """50 V, 5 per cent: 1450 ohm in 1994 as a note prints it, 1375 ohm in 2005 from memory."""
    answer = worked("body-current", touch_voltage_v=50)

    assert result(answer, "current") == pytest.approx(50 / 1375)
    assert [(one.gives.name, one.gives.value) for one in answer.working[:2]] == [
        ("table_impedance_iec_479_1_1994", 1450),
        ("current_iec_479_1_1994", pytest.approx(50 / 1450)),
    ]
    assert judged(answer, "edition") == "iec_60479_1_2005"
    assert "no edition was given" in answer.judgements[0].words
    assert "34.5 mA" in answer.judgements[0].words
    assert "36.4 mA" in answer.judgements[0].words


def test_the_earlier_edition_is_taken_where_it_gives_the_greater_current() -> None:
    """50 V, 95 per cent: 4375 ohm in 1994, 4600 ohm in 2005."""
    assert judged(worked("body-current", touch_voltage_v=50, percentile="p95"), "edition") == "iec_479_1_1994"


@pytest.mark.parametrize("edition", ["iec_479_1_1994", "iec_60479_1_2005"])
@pytest.mark.parametrize("percentile", SHARES)
@pytest.mark.parametrize("voltage_v", [25, 50, 110, 230, 1000])
def test_leaving_out_the_edition_never_gives_a_lower_current(voltage_v: float, percentile: str, edition: str) -> None:
    without = worked("body-current", touch_voltage_v=voltage_v, percentile=percentile)
    with_it = worked("body-current", touch_voltage_v=voltage_v, percentile=percentile, edition=edition)

    assert result(without, "current") >= result(with_it, "current")


def test_a_pack_with_the_earlier_edition_alone_answers_by_it() -> None:
    held = pack().references["body-impedance"]
    earlier = replace(held, cells={keys: cell for keys, cell in held if keys[0] == "iec_479_1_1994"})
    answer = worked_by(replace(pack(), references={**pack().references, "body-impedance": earlier}), "body-current", touch_voltage_v=50)

    assert judged(answer, "edition") == "iec_479_1_1994"

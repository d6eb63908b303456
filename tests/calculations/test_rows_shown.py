"""A step that reads a table or goes by rules shows which row and which rule, so that a reader can look them up and reckon it again."""

from typing import Any

import numpy as np
import pytest
from tests.calculations.worked import pack, worked

from bondwright.calculations.answer import CalculationAnswer, Step
from bondwright.calculations.rows import limits_row, rows_around
from bondwright.members import replace
from bondwright.report.calculation import calculation_text
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.words.sentences import undeclared_calculations

READING_TABLES: dict[str, dict[str, Any]] = {
    "fuse": {"calculation": "operating-current", "device": "bs3036", "rated_a": 30},
    "breaker": {"calculation": "operating-current", "device": "C", "rated_a": 16},
    "body": {"calculation": "body-current", "touch_voltage_v": 60},
    "time of a final circuit": {"calculation": "disconnection-time", "system": "tn", "voltage_v": 230},
    "time of another": {"calculation": "disconnection-time", "system": "tt", "voltage_v": 230, "circuit": "other"},
    "heat": {
        "calculation": "protective-conductor-heating",
        "fault_current_a": 2000,
        "time_s": 0.4,
        "arrangement": "separate",
        "insulation": "thermoplastic_70",
    },
    "main bond": {"calculation": "main-bond-size", "pme_conditions": "apply", "neutral_mm2": 25},
    "main bond by aluminium": {"calculation": "main-bond-size", "pme_conditions": "apply", "neutral_mm2": 95, "neutral_metal": "aluminium"},
    "earthing conductor": {"calculation": "earthing-conductor-size", "line_mm2": 25, "buried": "no"},
    "supplementary bond": {"calculation": "supplementary-bond-size", "pairing": "extraneous_to_extraneous", "protected": "yes"},
}


def answer(of: str) -> CalculationAnswer:
    """The answer of one of the examples."""
    inputs = dict(READING_TABLES[of])
    return worked(inputs.pop("calculation"), **inputs)


def reading(of: str, formula: str) -> Step:
    """The step of one of the examples whose formula holds these words."""
    return next(step for step in answer(of).working if formula in step.formula)


@pytest.mark.parametrize("of", READING_TABLES)
def test_every_step_that_looks_something_up_says_where(of: str) -> None:
    looking_up = [
        step for step in answer(of).working if any(word in step.formula for word in ("table", "rules(", "t(t", "G(", " / k", "m *"))
    ]
    looking_up = [step for step in looking_up if not step.formula.startswith(("current", "k_from"))]

    assert looking_up
    assert [step.formula for step in looking_up if not step.rows and not step.rules] == []


def test_a_fuse_shows_its_row() -> None:
    (row,) = reading("fuse", "table(In)").rows

    assert (row.table, row.row, row.gives.unit) == ("fuse-current-5-s", "bs3036, 30 A", "A")
    assert row.gives.value == reading("fuse", "table(In)").gives.value


def test_an_impedance_between_two_voltages_shows_both_rows_and_lies_on_their_line() -> None:
    """The straight line is drawn by numpy. IEC 479-1 of 1994 prints 1450 ohm at 50 V and 1250 ohm at 75 V for 5 % of people."""
    step = reading("body", "table(U)")

    assert [(row.row, row.gives.value) for row in step.rows] == [
        ("iec_479_1_1994, p5, 50 V", 1450),
        ("iec_479_1_1994, p5, 75 V", 1250),
    ]
    assert step.gives.value == pytest.approx(np.interp(60, [50, 75], [1450, 1250]))


@pytest.mark.parametrize(("touch_voltage_v", "rows"), [(50, ["50 V"]), (50.1, ["50 V", "75 V"]), (74.9, ["50 V", "75 V"]), (75, ["75 V"])])
def test_both_rows_are_shown_only_between_them(touch_voltage_v: float, rows: list[str]) -> None:
    (step, *_) = worked("body-current", touch_voltage_v=touch_voltage_v, edition="iec_479_1_1994").working

    assert [row.row.rsplit(", ", 1)[1] for row in step.rows] == rows


def test_a_tube_by_its_nominal_size_shows_both_tables() -> None:
    """EN 10255, medium series: 33.7 mm outside, wall 3.2 mm."""
    (first, *_) = worked("pipe-conductance", metal="steel", nominal="dn25").working

    assert [(row.table, row.row, row.gives.value) for row in first.rows] == [
        ("steel-tube-outside", "dn25", 33.7),
        ("steel-tube-wall", "dn25", 3.2),
    ]


def test_a_tube_by_its_wall_reads_no_table_of_tubes() -> None:
    (first, *_) = worked("pipe-conductance", metal="copper", outside_mm=15, wall_mm=1).working

    assert first.rows == ()


@pytest.mark.parametrize(
    ("calculation", "inputs"),
    [
        ("conductor-resistance", {"length_m": 20}),
        ("greatest-length", {"resistance_limit_ohm": 0.05}),
        ("continuity-reading", {"length_m": 20, "lowest_temperature_c": 5, "highest_temperature_c": 30}),
    ],
)
def test_a_conductor_shows_the_row_of_its_size(calculation: str, inputs: dict[str, Any]) -> None:
    """IEC 60228, class 2: 1.83 ohm/km at 10 mm²."""
    (first, *_) = worked(calculation, size_mm2=10, **inputs).working

    assert ("conductor-resistance", "copper, class_2, 10 mm²", 1.83) in [(row.table, row.row, row.gives.value) for row in first.rows]


def test_beyond_a_table_its_end_is_shown() -> None:
    sizes = pack().references["conductor-resistance"]

    assert [row.row for row in rows_around(sizes, "copper", "class_2", at=0.5)] == ["copper, class_2, 1 mm²"]


def test_an_equivalent_shows_the_rows_of_both_metals_and_follows_from_them() -> None:
    """IEC 60228, class 2: aluminium of 95 mm² 0.320 ohm/km; copper of 50 and 70 mm² 0.387 and 0.268 ohm/km. Drawn by numpy."""
    step = reading("main bond by aluminium", "G(")

    assert [(row.row, row.gives.value) for row in step.rows] == [
        ("aluminium, class_2, 95 mm²", 0.320),
        ("copper, class_2, 50 mm²", 0.387),
        ("copper, class_2, 70 mm²", 0.268),
    ]
    assert step.gives.value == pytest.approx(np.interp(1 / 0.320, [1 / 0.387, 1 / 0.268], [50, 70]))


def test_a_size_by_rules_shows_row_and_rule() -> None:
    step = reading("main bond", "rules(")

    assert [(row.table, row.row, row.gives.value) for row in step.rows] == [
        ("pme-main-bond", "neutral_copper_equivalent up to 35 mm²", step.gives.value)
    ]
    assert step.rules and all(pack().rule(rule) for rule in step.rules)


@pytest.mark.parametrize(("value", "row"), [(35, "up to 35 mm²"), (35.1, "up to 50 mm²"), (150, "up to 150 mm²"), (150.1, "above 150 mm²")])
def test_the_row_of_a_limit_is_the_one_that_covers_the_value(value: float, row: str) -> None:
    """Table 54.8 has limits at 35, 50, 95 and 150 mm² and a row above."""
    assert limits_row(pack().tables["pme-main-bond"], value, pack().say).row == f"neutral_copper_equivalent {row}"


def test_a_table_without_limits_says_that_its_row_covers_every_value() -> None:
    table, say = pack().tables["pme-main-bond"], undeclared_calculations(rules_folder())

    row = limits_row(replace(table, rows=table.rows[-1:]), 35, say)

    assert (row.row, row.gives.value) == ("neutral_copper_equivalent every value mm²", 50)


def test_the_page_shows_the_rows_and_the_rules() -> None:
    page = calculation_text(answer("body"), pack().say)

    assert "table body-impedance, iec 479 1 1994, p5, 50 V: 1450 ohm" in page
    assert "table body-impedance, iec 479 1 1994, p5, 75 V: 1250 ohm" in page
    assert "rule         " in calculation_text(answer("supplementary bond"), pack().say)

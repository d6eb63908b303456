"""Size of the main bonding conductor against what is printed, and that the rules of the pack decide it.

Sources stand beside the figures. The book itself was not read: Table 54.8 is that of the Guide to the Wiring Regulations,
17th edition, Table E 4.6; what holds without PME conditions is that of a trade-body pocket guide.
"""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.calculations.changed import with_cell, with_value, without_tables, worked_by_rules
from tests.calculations.worked import pack, result, worked

from bondwright.calculations.answer import CalculationAnswer
from bondwright.calculations.bench import Bench
from bondwright.calculations.conductors.metals import equivalent
from bondwright.calculations.inputs import SizedMetal
from bondwright.errors import Contradiction, NotTheSchema
from bondwright.facts.conductors import size_between
from bondwright.members import replace
from bondwright.rulebook.facts import Between
from bondwright.rulebook.pack import PackHead, RulePack
from bondwright.shelf.packs import draft_pack, rules_folder
from bondwright.shelf.published import on_shelf

NAME = "main-bond-size"


def with_use(table: str, up_to: float, use: float) -> RulePack:
    """The newest edition with another size in a row of a table of limits."""
    held = pack().tables[table]
    rows = tuple(replace(row, use=use) if row.up_to == up_to else row for row in held.rows)
    assert rows != held.rows
    return replace(pack(), tables={**pack().tables, table: replace(held, rows=rows)})


def refused(calculation: str, **inputs: Any) -> list[str]:
    """The places at which a calculation is refused as a contradiction."""
    with pytest.raises(Contradiction) as caught:
        worked(calculation, **inputs)
    return [fault.pointer for fault in caught.value.faults]


def out_of_range(calculation: str, **inputs: Any) -> list[str]:
    """The places at which the inputs of a calculation are no inputs at all."""
    with pytest.raises(NotTheSchema) as caught:
        worked(calculation, **inputs)
    return [fault.pointer for fault in caught.value.faults]


def used(answer: CalculationAnswer) -> list[str]:
    """What an answer rests on, by its names in the pack."""
    return [cited.what for cited in answer.sources]


def assert_last_step_gives_the_result(answer: CalculationAnswer) -> None:
    assert answer.working[-1].gives == answer.results[0]


@pytest.mark.parametrize(
    ("neutral_mm2", "bond_mm2"),
    [
        (25, 10),  # Table E 4.6, every row; the edges are those of its bands
        (35, 10),
        (35.1, 16),
        (50, 16),
        (50.1, 25),
        (70, 25),
        (95, 25),
        (95.1, 35),
        (120, 35),
        (150, 35),
        (150.1, 50),
        (185, 50),
    ],
)
def test_bond_under_pme_conditions_is_the_printed_one(neutral_mm2: float, bond_mm2: float) -> None:
    answer = worked(NAME, pme_conditions="apply", neutral_mm2=neutral_mm2)

    assert result(answer, "main_bond_size") == bond_mm2
    assert result(answer, "copper_equivalent") == neutral_mm2


@pytest.mark.parametrize(
    ("required_mm2", "bond_mm2"),
    [
        (16, 10),  # half is 8, the next stocked size: pocket guide 13
        (10, 6),  # half is 5, not below 6 mm²: pocket guide 13
        (70, 25),  # half is 35, which need not exceed 25 mm²: pocket guide 13
        (2.5, 6),  # a protected earthing conductor to an electrode: not below 6 mm²; worked out from the rule
        (50, 25),
        (50.1, 25),
    ],
)
def test_bond_without_pme_conditions_is_half_the_earthing_conductor(required_mm2: float, bond_mm2: float) -> None:
    answer = worked(NAME, pme_conditions="do_not_apply", required_earthing_conductor_mm2=required_mm2)

    assert [(one.name, one.value) for one in answer.results] == [("main_bond_size", bond_mm2)]


@pytest.mark.parametrize("required_mm2", [1, 2.5, 6, 10, 12, 12.1, 16, 20.1, 25, 35, 49.9, 50, 51, 120, 500])
def test_bond_without_pme_conditions_is_half_of_what_is_required_in_a_made_size(required_mm2: float) -> None:
    """A second source that shares no rule with the first: a pocket guide's words, worked out here with IEC 60228 sizes."""
    made = min(size for size in (6, 10, 16, 25) if size >= min(25, required_mm2 / 2))

    assert result(worked(NAME, pme_conditions="do_not_apply", required_earthing_conductor_mm2=required_mm2), "main_bond_size") == made


@pytest.mark.parametrize(
    ("neutral_mm2", "copper_mm2", "bond_mm2"),
    [
        # Copper equivalents by hand from IEC 60228, as four cable makers print it; bands as above.
        (50, 28.5, 10),
        (70, 42.7, 16),
        (95, 59.4, 25),
        (120, 73.8, 25),
        (150, 89.4, 25),
        (185, 111.9, 35),
        (240, 148.7, 35),
        (300, 183.4, 50),
    ],
)
def test_bond_of_an_aluminium_neutral_goes_by_its_conductance(neutral_mm2: float, copper_mm2: float, bond_mm2: float) -> None:
    answer = worked(NAME, pme_conditions="apply", neutral_mm2=neutral_mm2, neutral_metal="aluminium")

    assert result(answer, "copper_equivalent") == pytest.approx(copper_mm2, abs=0.06)
    assert result(answer, "main_bond_size") == bond_mm2


@pytest.mark.parametrize(("neutral_mm2", "bond_mm2"), [(280, 10), (281, 16), (400, 16), (401, 25)])
def test_bond_of_a_steel_neutral_goes_by_an_eighth_of_it(neutral_mm2: float, bond_mm2: float) -> None:
    """Steel takes eight times the size of copper, DIYnot 327120; 280 mm² of it stand for 35 mm²."""
    answer = worked(NAME, pme_conditions="apply", neutral_mm2=neutral_mm2, neutral_metal="steel")

    assert result(answer, "copper_equivalent") == neutral_mm2 / 8
    assert result(answer, "main_bond_size") == bond_mm2


def test_48_mm2_of_steel_stand_for_6_mm2_of_copper() -> None:
    """DIYnot 327120 prints this pair."""
    assert result(worked(NAME, pme_conditions="apply", neutral_mm2=48, neutral_metal="steel"), "copper_equivalent") == 6


@given(st.floats(0.5, 900), st.sampled_from(("copper", "aluminium", "steel")))
def test_calculations_and_evaluations_compare_metals_alike(size_mm2: float, metal: SizedMetal) -> None:
    calculated, _ = equivalent(size_mm2, metal, "neutral", Bench(pack(), lambda *_: []))

    evaluated = size_between(pack(), size_mm2, metal, "neutral_copper_equivalent")

    assert isinstance(evaluated, Between)
    assert min(max(calculated, 0.1), 1000) == pytest.approx(evaluated.lowest)


def test_neutral_that_comes_to_less_copper_than_the_rules_reckon_with_is_refused() -> None:
    """0.79 mm² of steel stand for 0.09875 mm² of copper, 0.8 mm² for 0.1."""
    with pytest.raises(Contradiction, match=r"^/neutral_mm2: comes to 0.09875 mm² of copper; .* comes to 0.1 to 1000 mm² of copper$"):
        worked(NAME, pme_conditions="apply", neutral_mm2=0.79, neutral_metal="steel")
    assert result(worked(NAME, pme_conditions="apply", neutral_mm2=0.8, neutral_metal="steel"), "main_bond_size") == 10


@pytest.mark.parametrize(
    "inputs",
    [
        {"pme_conditions": "apply", "neutral_mm2": 70},
        {"pme_conditions": "apply", "neutral_mm2": 70, "neutral_metal": "aluminium"},
        {"pme_conditions": "apply", "neutral_mm2": 70, "neutral_metal": "steel"},
        {"pme_conditions": "do_not_apply", "required_earthing_conductor_mm2": 16},
    ],
)
def test_size_is_in_mm2_and_the_last_step_gives_it(inputs: dict[str, Any]) -> None:
    answer = worked(NAME, **inputs)

    assert {one.unit for one in answer.results} == {"mm2"}
    assert_last_step_gives_the_result(answer)


def test_answer_cites_the_rule_and_the_table_that_decide() -> None:
    answer = worked(NAME, pme_conditions="apply", neutral_mm2=70, neutral_metal="aluminium")

    assert used(answer) == [
        "conductor-resistance: aluminium, class_2",
        "conductor-resistance: copper, class_2",
        "pme-main-bond-size",
        "pme-main-bond",
    ]
    assert answer.weakest_source == "secondary"


def test_ratio_of_steel_is_cited_where_steel_is_compared() -> None:
    assert used(worked(NAME, pme_conditions="apply", neutral_mm2=70, neutral_metal="steel"))[0] == "steel_to_copper"


@pytest.mark.parametrize(
    ("inputs", "place"),
    [
        ({"pme_conditions": "apply"}, "/neutral_mm2"),
        ({"pme_conditions": "apply", "required_earthing_conductor_mm2": 16}, "/neutral_mm2"),
        ({"pme_conditions": "do_not_apply"}, "/required_earthing_conductor_mm2"),
        ({"pme_conditions": "do_not_apply", "neutral_mm2": 25}, "/required_earthing_conductor_mm2"),
    ],
)
def test_input_that_is_needed_is_asked_for(inputs: dict[str, Any], place: str) -> None:
    assert refused(NAME, **inputs) == [place]


@pytest.mark.parametrize(
    ("inputs", "place"),
    [
        ({"pme_conditions": "apply", "neutral_mm2": 0}, "/neutral_mm2"),
        ({"pme_conditions": "apply", "neutral_mm2": 1001}, "/neutral_mm2"),
        ({"pme_conditions": "apply", "neutral_mm2": "35"}, "/neutral_mm2"),
        ({"pme_conditions": "unknown", "neutral_mm2": 35}, "/pme_conditions"),
        ({"pme_conditions": "apply", "neutral_mm2": 35, "neutral_metal": "lead"}, "/neutral_metal"),
        ({"neutral_mm2": 35}, "/pme_conditions"),
    ],
)
def test_input_out_of_range_is_refused_at_its_place(inputs: dict[str, Any], place: str) -> None:
    assert out_of_range(NAME, **inputs) == [place]


def test_row_of_the_pack_decides() -> None:
    changed = with_use("pme-main-bond", 50, 20)

    assert result(worked_by_rules(changed, NAME, pme_conditions="apply", neutral_mm2=50), "main_bond_size") == 20


def test_ratio_of_the_pack_decides_what_steel_is_worth() -> None:
    answer = worked_by_rules(with_value("steel_to_copper", 10), NAME, pme_conditions="apply", neutral_mm2=400, neutral_metal="steel")

    assert (result(answer, "copper_equivalent"), result(answer, "main_bond_size")) == (40, 16)


def test_resistance_in_the_pack_decides_what_aluminium_is_worth() -> None:
    """240 mm² is just under the edge of its band, so a little less resistance lifts it over."""
    changed = with_cell("conductor-resistance", "aluminium", "class_2", 240, value=0.120)

    answer = worked_by_rules(changed, NAME, pme_conditions="apply", neutral_mm2=240, neutral_metal="aluminium")

    assert result(answer, "copper_equivalent") > 150
    assert result(answer, "main_bond_size") == 50


@pytest.mark.parametrize("edition", on_shelf(rules_folder()), ids=lambda edition: edition.pack_id)
def test_published_pack_either_sizes_the_bond_or_says_that_it_does_not(edition: PackHead) -> None:
    inputs: dict[str, Any] = {"pme_conditions": "apply", "neutral_mm2": 70}
    if edition.pack_id.startswith("bs7671"):
        assert result(worked_by_rules(edition.whole(), NAME, **inputs), "main_bond_size") == 25
        return
    with pytest.raises(Contradiction) as caught:
        worked_by_rules(edition.whole(), NAME, **inputs)
    assert [fault.pointer for fault in caught.value.faults] == ["/rule_pack"]


def test_pack_without_tables_sizes_no_bond_by_an_aluminium_neutral() -> None:
    with pytest.raises(Contradiction) as caught:
        worked_by_rules(without_tables(), NAME, pme_conditions="apply", neutral_mm2=70, neutral_metal="aluminium")

    assert [fault.pointer for fault in caught.value.faults] == ["/rule_pack"]


def test_international_rules_size_the_bond_from_other_facts() -> None:
    with pytest.raises(Contradiction):
        worked_by_rules(draft_pack(rules_folder(), "iec60364/2017"), NAME, pme_conditions="apply", neutral_mm2=70)

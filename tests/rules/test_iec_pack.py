"""A second family of rules, judged by the same code: the IEC pack knows no clause of BS 7671, and no date chooses it."""

import json
import re
from collections.abc import Iterator, Mapping
from functools import cache
from typing import TypeAlias

import pytest
from tests import paged
from tests.api.builders import WORK, service
from tests.core.cases import cases, read
from tests.members import as_mapping
from tests.rules.iec import COPPER_FROM_THE_GROUND, Json, bathroom, channels, judged, line_of, pack
from tests.rules.revisions import shelf

from bondwright.assembly import Bondwright
from bondwright.compose.answer import Evaluation, PartAnswer
from bondwright.compose.written.writing import evaluation_bytes
from bondwright.errors import Contradiction
from bondwright.evaluate.order import evaluate
from bondwright.proofs.check import check
from bondwright.rulebook.kinds import TABLES
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import consolidate, draft_pack, rules_folder

BRITISH = re.compile(
    r"BS ?\d|\b(?:7671|951)\b|\bPME\b|Table 54\.[78]|\b132\.16|\b514\.13|\b643\.|\b653\.|Appendix 6|Amendment [1-4]"
    r"|\bcode C\d|600 mm|distributor"
)
"""What stands in the other family's clauses and advice."""
Rows: TypeAlias = Mapping[str, Mapping[str, Mapping[str, str]]]


def part_of(evaluation: Evaluation, name: str) -> PartAnswer:
    """The part of that name."""
    return next(part for part in evaluation.parts if part.part == name)


def clauses(told: Json) -> Iterator[str]:
    """Every clause anywhere in an answer; what governs a thing without rules may be no clause of any standard."""
    if isinstance(told, Mapping):
        yield from (told["clause"],) if "clause" in told and not told.get("rule", "").endswith("-not-judged") else ()
        yield from (clause for value in told.values() for clause in clauses(value))
    elif isinstance(told, list | tuple):
        yield from (clause for value in told for clause in clauses(value))


# --- whole evaluations ---


def test_copper_from_the_ground_behind_a_10_mm2_earthing_conductor_is_bonded_with_6_mm2() -> None:
    evaluation = judged(supply=line_of(10), services=[COPPER_FROM_THE_GROUND])

    assert evaluation.earthing_conductor_size.highest == 10
    assert [(one.part, one.size) for one in evaluation.plan.connections] == [("water/entering", "6 mm²")]
    assert part_of(evaluation, "water/entering").place == "as near as practicable to the point of entry into the building"


def test_copper_beyond_plastic_is_left() -> None:
    plastic = {**COPPER_FROM_THE_GROUND, "enters_as": "plastic"}

    evaluation = judged(supply=line_of(10), services=[plastic])

    assert {part.mark for part in evaluation.parts} == {"leave"}
    assert evaluation.plan.connections == ()


def test_the_water_in_an_insulating_section_counts_and_the_answer_says_what_the_amended_part_would() -> None:
    short = {
        **COPPER_FROM_THE_GROUND,
        "joined_by": "compression",
        "insulating_section": {"length_m": 0.15, "bore_mm": 20, "from_entry_m": 0.2},
    }

    duty = next(one for one in part_of(judged(services=[short]), "water/inside").verdicts if one.outcome == "main_bonding")

    assert (duty.act_on, duty.worst_case, duty.firm) == ("covered", "required", False)
    assert "iec-insulating-section" in [reason.rule for reason in duty.because]


def test_supplementary_bonding_may_be_omitted_where_the_three_conditions_and_main_bonding_hold() -> None:
    assert bathroom(rcd="30_mA_or_less").act == "room_omit"  # 701.415.2; DEHN: no longer generally required


@pytest.mark.parametrize("room", [{"rcd": "none"}, {"rcd": "30_mA_or_less", "connected_to": "nothing"}], ids=["no rcd", "no main bonding"])
def test_supplementary_bonding_is_required_where_one_of_them_fails(room: Json) -> None:
    assert bathroom(**room).act == "room_bond"


def test_the_same_house_is_judged_otherwise_by_each_family(both_families: Bondwright) -> None:
    house = {"work": WORK, "supply": {**line_of(10), "pme_conditions": "apply", "neutral": {"size": 25, "material": "copper"}}}

    sizes = [
        both_families.evaluate(json.dumps({**house, **named}).encode()).evaluation.main_bond_size.highest
        for named in ({}, {"rule_pack": pack().pack_id})
    ]

    assert sizes == [10, 6]


# --- nothing of the other family ---


@cache
def answers() -> Mapping[str, Evaluation]:
    """What the pack says of every installation of the other family's cases, by the case's name."""
    return {case.name: evaluate(read(case.claim.installation), pack(), channels().acts, channels().memory) for case in cases()}


@pytest.mark.parametrize("name", sorted(case.name for case in cases()))
def test_no_word_of_the_other_family_is_in_an_answer(name: str) -> None:
    answer = evaluation_bytes(answers()[name]).decode()
    told = re.sub(r'/told/(\w+)","fact":"\1"', "", answer)  # names that the description itself tells, named as not used

    assert BRITISH.findall(told) == []


@pytest.mark.parametrize("name", sorted(case.name for case in cases()))
def test_every_clause_in_an_answer_is_of_the_iec(name: str) -> None:
    found = [clause for clause in clauses(as_mapping(answers()[name])) if not clause.startswith("IEC ")]

    assert found == []


def test_the_british_words_that_are_looked_for_are_found_in_the_other_family() -> None:
    assert len(set(BRITISH.findall(consolidate(rules_folder(), "bs7671/2018-a2").decode()))) > 10


def test_every_source_is_one_of_the_family() -> None:
    assert [source.title for source in pack().sources.values() if "BS " in source.title] == []


def test_materials_are_those_of_the_other_family_but_for_aluminium_numbers_to_ring_works_places_of_bonds_and_what_governs_a_kind() -> None:
    """Of kinds those rows are compared that both judge, or neither: the other family judges more, in files of places."""
    whole, own = (_without_what_governs(one) for one in (draft_pack(rules_folder(), "bs7671/2018-a2"), pack()))
    theirs, ours = _judged_alike(whole, own), _judged_alike(own, whole)

    assert [kind for table in TABLES.values() for kind in own[table] if kind not in whole[table]] == []
    assert [len(ours[table]) > 3 for table in TABLES.values()] == [True] * len(TABLES)
    assert [table for table in theirs if theirs[table] != ours.get(table)] == ["sized_metals", "bond_joints", "works", "places"]
    assert set(theirs) == set(ours)


def _without_what_governs(one: RulePack) -> dict[str, dict[str, dict[str, str]]]:
    named = {"governed_by", "source", "known", "ask", "its_locations", "keeps_pme_away", "metal_as"}
    return {
        table: {row: {column: cell for column, cell in cells.items() if column not in named} for row, cells in rows.items()}
        for table, rows in one.properties.items()
    }


def _judged_alike(some: Rows, others: Rows) -> Rows:
    """Tables of properties, of kinds only the rows of those that another pack has and judges, or does not judge, as this one."""
    return {
        table: {
            row: cells
            for row, cells in rows.items()
            if table not in TABLES.values() or cells["judged"] == others[table].get(row, {}).get("judged")
        }
        for table, rows in some.items()
    }


# --- checked as every pack is ---


def test_no_check_finds_the_pack_wanting() -> None:
    wanting = [finding for finding in check(pack(), full=True) if finding.severity == "error"]

    assert [finding.detail for finding in wanting] == []


# --- named by a description, chosen by no date ---


@pytest.fixture
def both_families(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bondwright]:
    """The service with every published pack and this one."""
    others = [one for one in shelf().values() if one.pack_id != pack().pack_id]
    made = service((*others, pack()), tmp_path_factory.mktemp("record") / "record.sqlite")
    yield made
    made.close()


@pytest.mark.parametrize("named", ["pack_id", "digest"])
def test_a_description_names_the_pack_that_judges_it(both_families: Bondwright, named: str) -> None:
    used = both_families.evaluate(json.dumps({"work": WORK, "rule_pack": getattr(pack(), named)}).encode()).evaluation.pack

    assert (used.pack_id, used.chosen_by, used.also_usable) == (pack().pack_id, "rule_pack", ())


def test_the_page_says_that_the_pack_was_named(both_families: Bondwright) -> None:
    page = paged.page(both_families.evaluate(json.dumps({"work": WORK, "rule_pack": pack().pack_id}).encode()).evaluation)

    assert "named for work of 2026-11-25" in page


@pytest.mark.parametrize("day", ["2016-12-31", "2017-06-01", "2019-01-01", "2022-10-01", "2026-11-25", "2040-01-01"])
def test_no_date_chooses_the_pack(both_families: Bondwright, day: str) -> None:
    work = {"work": {"kind": "inspection", "inspected_on": day}}

    assert both_families.choose_pack(read(work)).pack_id != pack().pack_id


def test_a_pack_that_is_not_published_is_a_fault_of_the_description(both_families: Bondwright) -> None:
    with pytest.raises(Contradiction) as refused:
        both_families.evaluate(json.dumps({"work": WORK, "rule_pack": "iec60364-1900-r1"}).encode())

    assert [fault.pointer for fault in refused.value.faults] == ["/rule_pack"]

"""The page: complete, narrow, nothing said twice."""

from pathlib import Path
from typing import Any

import pytest
from tests import paged
from tests.cli.command import HOUSE, described

from bondwright.assembly import build
from bondwright.compose.answer import Evaluation
from bondwright.report.rows import WIDTH
from bondwright.settings import Settings

RADIATOR = {"kind": "radiator", "material": "steel", "fed_by": "plastic", "touches": "nothing_earthy"}
HIDDEN_WATER = {"kind": "water", "comes_from": "ground", "enters_as": "copper", "inside": "copper", "hidden": "yes"}
GAS_PIPE = {"kind": "gas", "comes_from": "ground", "enters_as": "steel", "inside": "steel", "hidden": "no", "meter": {"position": "inside"}}


def evaluation_of(raw: bytes, folder: Path) -> Evaluation:
    """The evaluation of a description; `folder` stays empty."""
    bondwright = build(Settings(folder))
    evaluation = bondwright.evaluate(raw).evaluation
    bondwright.close()
    return evaluation


def page(folder: Path, **parts: Any) -> str:
    """The page for a description, its work filled in."""
    return paged.page(evaluation_of(described(folder, **parts).read_bytes(), folder))


def blocks(text: str) -> list[str]:
    """The page's blocks, each as one line with single spaces."""
    return [" ".join(block.split()) for block in text.split("\n\n")]


@pytest.fixture
def house(tmp_path: Path) -> Evaluation:
    """The everyday house, evaluated."""
    return evaluation_of(HOUSE.read_bytes(), tmp_path)


def test_every_line_of_the_short_list_is_on_the_page(house: Evaluation) -> None:
    shown = " ".join(paged.page(house).split())
    lines = [group.line for group in house.groups] + [room.line for room in house.rooms]

    assert [line for line in lines if line not in shown] == []


def test_every_caution_closes_the_page(house: Evaluation) -> None:
    assert "CAUTIONS - " + " - ".join(house.cautions) == blocks(paged.page(house))[-1]


def test_the_cautions_close_the_page_when_nothing_was_described(tmp_path: Path) -> None:
    told = page(tmp_path)

    assert "nothing to decide" in told
    assert blocks(told)[-1].startswith("CAUTIONS - Bondwright advises")


def test_every_question_of_a_part_stands_on_its_block_once_with_its_place(house: Evaluation) -> None:
    shown = blocks(paged.page(house))
    asked = {
        (part.name, f"{question.ask} [{question.pointer}]")
        for part in house.parts
        for verdict in part.verdicts
        for question in verdict.questions
    }

    found = {pair: sum(block.count(pair[1]) for block in shown if pair[0] in block.partition(" Verdict ")[0]) for pair in asked}

    assert found
    assert set(found.values()) == {1}


def test_every_rule_that_spoke_of_a_part_is_cited_with_pack_and_line(house: Evaluation) -> None:
    shown = " ".join(paged.page(house).split())
    spoken = [
        reason
        for part in house.parts
        for verdict in part.verdicts
        for reason in verdict.because
        if reason.rule != f"{verdict.outcome}-otherwise"
    ]

    assert spoken
    assert [one.rule for one in spoken if f"rule {one.rule}, {one.pack_id}, line {one.line}]" not in shown] == []


def test_no_line_is_wider_than_the_page(house: Evaluation) -> None:
    assert max(len(line) for line in paged.page(house).splitlines()) <= WIDTH


def test_ten_radiators_share_one_block(tmp_path: Path) -> None:
    told = page(tmp_path, items=[{**RADIATOR, "id": f"radiator-{number}"} for number in range(10)])

    assert sum("Verdict" in block for block in blocks(told)) == 1
    assert "[/items/9]" in told


def test_alike_items_in_one_entry_are_counted(tmp_path: Path) -> None:
    assert ", 10 of them [/items/0]" in page(tmp_path, items=[{**RADIATOR, "count": 10}])


def test_how_to_make_a_reading_is_told_once(tmp_path: Path) -> None:
    told = page(tmp_path, services=[HIDDEN_WATER, GAS_PIPE])

    assert told.count("Next reading") > 1
    assert told.count("HOW TO MAKE THE READING") == 1


def test_the_page_says_when_the_pack_was_not_in_use_on_the_day(tmp_path: Path) -> None:
    told = page(tmp_path, work={"kind": "inspection", "inspected_on": "2001-01-01"})

    assert "2001-01-01: NOT IN USE on that day" in told

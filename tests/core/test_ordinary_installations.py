"""Twenty ordinary installations as an inspector would tell them, each answered; `differs`: where an inspector would say it otherwise.

The houses and their people are invented.
"""

import json
from pathlib import Path
from typing import Any

import pytest
from tests.core.cases import judged

from bondwright.compose.answer import Evaluation
from bondwright.errors import BondwrightError

FOLDER = Path(__file__).parent / "ordinary"
TOLD = {file.stem: json.loads(file.read_bytes()) for file in sorted(FOLDER.glob("*.json"))}


def others(answer: Evaluation) -> dict[str, str]:
    """What to do about rooms and the feeding circuit."""
    return {room.location: room.act for room in answer.rooms} | ({"feeding circuit": answer.feeder.act} if answer.feeder else {})


def test_there_are_twenty() -> None:
    assert len(TOLD) == 20


@pytest.mark.parametrize("name", TOLD)
def test_each_is_answered_part_by_part(name: str) -> None:
    told: dict[str, Any] = TOLD[name]
    try:
        answer = judged(told["installation"])
    except BondwrightError as error:
        pytest.fail(f"{name}: {error}")

    assert told["told"] and told["an_inspector_says"]
    assert {one.part: one.act for one in answer.parts} | others(answer) == told["answered"]
    assert {one.part for one in answer.parts} >= {one["id"] for one in told["installation"].get("items", ())}
    assert all(one.line for one in answer.parts)

"""Every question of every answer can be answered in the description, and some answer to it, with some to the others, moves what is told."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from tests.core.cases import cases
from tests.core.test_ordinary_installations import TOLD
from tests.counted import COUNTED
from tests.properties.descriptions import Said
from tests.properties.places import place
from tests.properties.questions import Examined, generated


def ordinary() -> list[Said]:
    """The ordinary installations."""
    return [one["installation"] for one in TOLD.values()]


def worked() -> list[Said]:
    """Every fifth worked case."""
    return [json.loads(json.dumps(case.claim.installation)) for case in cases()[::5]]


def drawn() -> list[Said]:
    """Descriptions drawn with a fixed seed; others meet questions about shared metal that only several answers at once could move."""
    return generated(14, seed=15)


@pytest.mark.parametrize("some", [ordinary, worked, drawn])
def test_every_question_can_be_answered_and_its_answer_matters(
    some: Callable[[], list[Said]], record_property: Callable[[str, Any], None]
) -> None:
    examined = Examined()

    for number, described in enumerate(some()):
        examined.examine(described, number)

    assert (examined.faults, examined.idle) == ([], [])
    assert examined.counts["answers"] > 9 and examined.counts["questions"] > 40 and examined.counts["values"] > 200
    record_property(COUNTED, ("questions of answers", examined.counts["questions"]))


@pytest.mark.parametrize(
    ("pointer", "there"),
    [
        ("/services/0", False),
        ("/services/0/insulating_section", True),
        ("/services/0/insulating_section/length_m", False),
        ("/services/1/insulating_section/length_m", True),
        ("/services/2/kind", False),
        ("/supply/neutral/size", True),
        ("/supply/feeder/earth", False),
    ],
)
def test_a_place_is_a_field_that_the_description_has_there(pointer: str, there: bool) -> None:
    described = {
        "work": {"kind": "inspection", "inspected_on": "2026-11-25"},
        "services": [{"kind": "water", "insulating_section": "unknown"}, {"kind": "gas", "insulating_section": {"bore_mm": 20}}],
    }

    assert (place(described, pointer) is not None) == there

"""What the answer tells of metal outside: never an order to bond it on PME, and questions that settle it where they are answered."""

from typing import Any

import pytest
from tests import paged
from tests.core.cases import judged

from bondwright.cases.reading import changed

PME = {"earthing_system": "TN-C-S", "pme_conditions": "apply", "neutral": {"size": 25, "material": "copper"}}
SUPPLIES = {"PME": PME, "unknown": {}}
WORK = {"kind": "inspection", "inspected_on": "2026-11-25"}

IN_REACH = {"stands": "outside", "touchable_with_building": "yes"}


def outdoors(kind: str, supply: str, **facts: Any) -> dict[str, Any]:
    """A steel thing on concrete, and no word of where it stands but those in `facts`."""
    item = {"kind": kind, "material": "steel", "fed_by": "nothing", "touches": "soil", "bonds": [], **facts}
    return {"work": WORK, "supply": SUPPLIES[supply], "items": [item]}


@pytest.mark.parametrize("supply", SUPPLIES)
@pytest.mark.parametrize(
    "facts", [{}, {"stands": "unknown"}, {"stands": "outside"}, {"stands": "outside", "touchable_with_building": "yes"}]
)
@pytest.mark.parametrize("kind", ["gate", "fence", "tank", "balcony", "cladding", "staircase", "solar_frame", "other"])
def test_nobody_is_told_to_bond_metal_that_may_stay_outside_on_pme(kind: str, facts: dict[str, Any], supply: str) -> None:
    evaluation = judged(outdoors(kind, supply, **facts))

    (part,) = evaluation.parts
    assert part.mark in ("settle_first", "do_not_connect", "not_judged")
    assert not part.line.startswith("Bond ") and "mm²" not in part.line
    assert evaluation.plan.connections == ()
    assert part.line.split(":")[0] in " ".join(paged.page(evaluation).split())


def test_the_questions_about_a_gate_settle_it_at_the_places_that_they_name() -> None:
    unsaid = outdoors("gate", "PME")
    asked = {question.pointer for verdict in judged(unsaid).parts[0].verdicts for question in verdict.questions}

    answered = changed(unsaid, {"/items/0/stands": "outside", "/items/0/touchable_with_building": "no"})

    assert asked == {"/items/0/stands", "/items/0/touchable_with_building"}
    assert [verdict.outcome for verdict in judged(answered).parts[0].verdicts if not verdict.firm] == []


def test_a_pipe_that_enters_keeps_its_duty_though_its_length_outside_is_described() -> None:
    sections = [
        {"material": "steel", "traced": "yes", "surroundings": "soil", "stands": "both", "bonds": []},
        {"material": "steel", "joint_before": "screwed", "traced": "yes", "surroundings": "free_air", "bonds": []},
    ]
    gas = {"id": "gas", "kind": "gas", "comes_from": "ground", "joined_to": [], "sections": sections}

    (part,) = judged({"work": WORK, "supply": PME, "detailed_services": [gas]}).parts

    assert (part.act, part.verdicts[1].firm) == ("bond", True)

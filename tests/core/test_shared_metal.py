"""Metal that another installation may share: no words offer a reading as a way out, by the rule files as they stand.

What comes from another installation brings its potential in whatever it reads (Part 2, definition; 411.3.1.2, our reading): a low
reading may come from the bond of the others, and a high one ends when they work on theirs.
"""

from itertools import product
from typing import Any

import pytest
from tests.core.cases import read
from tests.rules.revisions import published, shelf

from bondwright.compose.answer import PartAnswer
from bondwright.engine.channels import TwoChannels
from bondwright.evaluate.order import evaluate
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import draft_pack, rules_folder

EDITIONS = ("bs7671/2018", "bs7671/2018-a4", "iec60364/2017")
ORIGINS = ("neighbour", "communal_riser")
MATERIALS = ("copper", "multilayer", "unknown")
FAILED = {"on": "entering_pipe", "connected_to": "nothing", "size": 10, "material": "copper"}
FOUND: dict[str, Any] = {"none": [], "not told": "unknown", "failed": [FAILED]}
HIGH = {"on": "entering_pipe", "reading": "900 kohm", "to": "earthing_conductor", "own_bond": "none", "pipe_filled": "yes"}
PASSED = (HIGH | {"protective_conductors": "none", "surroundings_wet": "yes"},)


def entering(pack: RulePack, comes_from: str, material: str, bonds: Any, readings: Any = ()) -> PartAnswer:
    """What a pack says of a pipe where it comes in."""
    pipe = {"id": "water", "kind": "water", "comes_from": comes_from, "enters_as": material, "inside": "nothing", "bonds": bonds}
    told = {"joined_to": [], "joined_by": "compression", "insulating_section": "none", "far_end_earthing": "same", "measurements": readings}
    if comes_from == "ground":
        del told["far_end_earthing"]
    described = {"work": {"kind": "inspection", "inspected_on": "2026-11-25"}, "services": [pipe | told]}
    return evaluate(read(described), pack, TwoChannels(pack, Kept()).acts).parts[0]


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(("comes_from", "material", "found"), [*product(ORIGINS, MATERIALS, FOUND)])
def test_no_reading_is_a_way_out_of_a_bond_on_shared_metal(edition: str, comes_from: str, material: str, found: str) -> None:
    part = entering(draft_pack(rules_folder(), edition), comes_from, material, FOUND[found])

    assert part.next_reading is None
    assert not any("at or above the limit" in way or "the reading below" in way for way in part.ways_out)
    assert "easure" not in part.line


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(("comes_from", "material"), [*product(ORIGINS, MATERIALS)])
def test_a_passed_reading_changes_nothing_about_shared_metal(edition: str, comes_from: str, material: str) -> None:
    pack = draft_pack(rules_folder(), edition)

    acts = {entering(pack, comes_from, material, [], readings).act for readings in ((), PASSED)}

    assert acts == ({"bond_shared"} if material == "copper" else {"look_or_bond"})


@pytest.mark.parametrize("edition", EDITIONS)
def test_a_pipe_of_its_own_out_of_the_ground_keeps_its_reading(edition: str) -> None:
    part = entering(draft_pack(rules_folder(), edition), "ground", "copper", [])

    assert part.act == "bond"
    assert part.next_reading and any("at or above the limit" in way for way in part.ways_out)


def test_packs_published_before_answer_as_they_did() -> None:
    older = [published(pack_id) for pack_id in shelf() if pack_id.endswith(("-r4", "-r5"))]
    packs = [pack for pack in older if not any(advice.if_shared for advice in pack.advice.values())]

    found = {entering(pack, "communal_riser", "copper", []).act for pack in packs}

    assert found == {"bond"}

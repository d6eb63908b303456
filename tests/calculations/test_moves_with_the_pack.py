"""Calculations and verdicts rest on the same numbers: one cell changed in a copy of the rules moves both, and moves them alike."""

import json
import shutil
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from tests.core.cases import read
from tests.described import terms

from bondwright.calculations.catalogue import CALCULATIONS, calculate
from bondwright.compose.answer import Evaluation
from bondwright.engine.channels import TwoChannels
from bondwright.evaluate.order import evaluate
from bondwright.installation.documents import read_document
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import draft_pack, rules_folder

EDITION = "bs7671/2018-a4"
WORK = {"kind": "inspection", "inspected_on": "2026-11-25"}
BOND = {"connected_to": "main_earthing_terminal", "size": 10, "material": "copper", "length_m": 20, "on": "entering_pipe"}
COPPER = {"id": "water", "kind": "water", "comes_from": "ground", "enters_as": "copper", "inside": "nothing", "bonds": [BOND]}
IN_SLAB = {"kind": "water", "comes_from": "inside_only", "enters_as": "copper", "inside": "copper", "hidden": "yes", "hidden_in": "soil"}
PME_50 = {"earthing_system": "TN-C-S", "pme_conditions": "apply", "neutral": {"size": 50, "material": "copper"}}


def room(device: dict[str, Any]) -> dict[str, Any]:
    """A bathroom on one circuit without a residual current device, its copper bonded across."""
    circuit = {"measure": "automatic_disconnection", "disconnection_met": "yes", "rcd": "none", "cpc": 2.5, "device": device}
    touched = [{"kind": "water", "accessible": "yes"}]
    return {"id": "bath", "kind": "bath_or_shower", "services": touched, "items": [], "circuits": [circuit], "bonding_protected": "yes"}


def continuity(found: Evaluation) -> float | None:
    """What the bond on the water pipe should read."""
    return found.parts[0].bonds[0].expected_continuity_ohm


def room_limit(found: Evaluation) -> float | None:
    """The resistance that the parts of the room may have between them."""
    limit = found.rooms[0].resistance_limit
    return limit.lowest if limit else None


def reading_limit(found: Evaluation) -> float | None:
    """The limit of the next reading."""
    return next(part.next_reading.limit_ohm for part in found.parts if part.next_reading)


MOVES: dict[str, tuple[str, str, str, dict[str, Any], str, dict[str, Any], Callable[[Evaluation], float | None]]] = {
    "a cell of the table of bond sizes": (
        "bs7671/2018.yaml",
        "rows: [[35, 10], [50, 16], [95, 25]",
        "rows: [[35, 10], [50, 25], [95, 25]",
        {"pme_conditions": "apply", "neutral_mm2": 50},
        "main-bond-size main_bond_size",
        {"supply": PME_50},
        lambda found: found.main_bond_size.highest,
    ),
    "a cell of the table of resistances": (
        "reference.yaml",
        "[copper, class_2, 10, 1.83, printed]",
        "[copper, class_2, 10, 1.90, printed]",
        {"metal": "copper", "conductor_class": "class_2", "size_mm2": 10, "length_m": 20, "temperature_c": 20},
        "conductor-resistance resistance",
        {"services": [COPPER]},
        continuity,
    ),
    "a cell of the table of fuses": (
        "reference.yaml",
        "[bs3036, 45, 145,",
        "[bs3036, 45, 150,",
        {"device": "bs3036", "rated_a": 45, "time": "within_5_s"},
        "resistance-limit limit",
        {"services": [COPPER], "locations": [room({"type": "bs3036", "rated_a": 45})]},
        room_limit,
    ),
    "the multiple of a circuit-breaker": (
        "reference.yaml",
        "[B, within_5_s, 5,",
        "[B, within_5_s, 6,",
        {"device": "B", "rated_a": 32},
        "resistance-limit limit",
        {"services": [COPPER], "locations": [room({"type": "B", "rated_a": 32})]},
        room_limit,
    ),
    "the voltage that may last": (
        "bs7671/2018.yaml",
        "touch_voltage_limit: {value: 50 V",
        "touch_voltage_limit: {value: 25 V",
        {"device": "B", "rated_a": 32},
        "resistance-limit limit",
        {"services": [COPPER], "locations": [room({"type": "B", "rated_a": 32})]},
        room_limit,
    ),
    "the touch current": (
        "bs7671/2018.yaml",
        "touch_current_default: {value: 10 mA",
        "touch_current_default: {value: 5 mA",
        {},
        "isolation-limit limit",
        {"services": [IN_SLAB]},
        reading_limit,
    ),
}


def both(pack: RulePack, inputs: dict[str, Any], wanted: str, described: dict[str, Any]) -> tuple[float, Evaluation]:
    """A result of a calculation, and an evaluation, by one pack."""
    name, result = wanted.split()
    asked, _ = read_document(json.dumps(inputs).encode(), CALCULATIONS[name].inputs, terms())
    with closing(TwoChannels(pack, Kept())) as running:
        answer = calculate(CALCULATIONS[name], asked, pack, running.acts)
        found = evaluate(read({"work": WORK, **described}), pack, running.acts)
    return next(one.value for one in answer.results if one.name == result), found


@pytest.mark.parametrize("what", MOVES)
def test_one_number_moves_calculation_and_verdict_alike(tmp_path: Path, what: str) -> None:
    file, was, now, inputs, wanted, described, told = MOVES[what]
    folder = Path(shutil.copytree(rules_folder(), tmp_path / "rules", ignore=shutil.ignore_patterns("published")))
    text = (folder / file).read_text()
    assert was in text
    (folder / file).write_text(text.replace(was, now, 1))

    before = both(draft_pack(rules_folder(), EDITION), inputs, wanted, described)
    after = both(draft_pack(folder, EDITION), inputs, wanted, described)

    for number, found in (before, after):  # answers have four decimals, calculations ten digits
        assert told(found) == pytest.approx(number, rel=4e-4)
    assert after[0] != before[0]

"""Circuits behind the old and the present BS 88 fuses, as evaluations judge them, by the rules as they stand and by published packs."""

import json
from contextlib import closing
from typing import Any

import pytest
from tests.core.cases import read
from tests.rules.revisions import published, shelf

from bondwright.engine.channels import TwoChannels
from bondwright.evaluate.order import evaluate
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import draft_pack, rules_folder

CASE = "behind-an-old-bs-88-fuse-of-20-a-without-an-rcd-the-bonded-parts-may-have-0-63-ohm-between-them"
PUBLISHED = sorted(pack_id for pack_id in shelf() if pack_id.startswith("bs7671-2018-a4-r"))
ENDS_OF_THE_FACT = (0.0005, 10_000)
"""50 V over 100,000 A and over 5 mA, between which an operating current that nobody knows may lie."""


def limits(pack: RulePack, device: dict[str, Any]) -> tuple[float, float]:
    """Least and greatest limit in ohm of the bathroom of the worked case behind another device."""
    described = json.loads((rules_folder() / "bs7671/cases" / f"{CASE}.json").read_text(encoding="utf-8"))["installation"]
    described["locations"][0]["circuits"][0]["device"] = device
    with closing(TwoChannels(pack, Kept())) as running:
        (room,) = evaluate(read(described), pack, running.acts).rooms
    assert room.resistance_limit is not None
    return room.resistance_limit.lowest, room.resistance_limit.highest


@pytest.mark.parametrize("edition", ["bs7671/2018-a4", "iec60364/2017"])
@pytest.mark.parametrize("fuse", ["bs88_gg", "bs88_gg_1988"])
def test_either_fuse_is_judged_by_its_current_within_5_s(edition: str, fuse: str) -> None:
    """79 A within 5 s, from memory."""
    pack = draft_pack(rules_folder(), edition)

    assert limits(pack, {"type": fuse, "rated_a": 20}) == (0.6329, 0.6329)


@pytest.mark.parametrize("device", [{"type": "bs88_gg_1988"}, {"type": "bs88_gg_1988", "rated_a": 21}, {"type": "other", "rated_a": 20}])
def test_fuse_whose_current_nobody_knows_leaves_the_limit_open(device: dict[str, Any]) -> None:
    assert limits(draft_pack(rules_folder(), "bs7671/2018-a4"), device) == ENDS_OF_THE_FACT


@pytest.mark.parametrize("pack_id", PUBLISHED)
def test_packs_published_before_take_the_old_fuse_for_a_device_that_nobody_knows(pack_id: str) -> None:
    pack = published(pack_id)

    if "bs88_gg_1988" in pack.properties["devices"]:
        assert limits(pack, {"type": "bs88_gg_1988", "rated_a": 20}) == (0.6329, 0.6329)
    else:
        assert limits(pack, {"type": "bs88_gg_1988", "rated_a": 20}) == ENDS_OF_THE_FACT

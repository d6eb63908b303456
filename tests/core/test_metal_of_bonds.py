"""What an evaluation says of a small bond that is not of copper, by the rule files as they stand; a bond of 6 mm² is asked for.

543.2.4, from memory: protective conductors of 10 mm² and less are of copper. IEC 60364-5-54, 544.1, as elektropraktiker prints it: a main
bond is not below 16 mm² of aluminium and 50 mm² of steel. By conductance 10 mm² of aluminium would do, for IEC 60228 gives them the
3.08 ohm/km of 6 mm² of copper, and 48 mm² of steel by DIYnot 327120.
"""

from functools import cache

import pytest
from tests.core.cases import read
from tests.rules.revisions import drafted

from bondwright.engine.channels import TwoChannels
from bondwright.evaluate.order import evaluate
from bondwright.rulebook.memory import Kept

BS, IEC = "bs7671/2018-a4", "iec60364/2017"


@cache
def channels(edition: str) -> TwoChannels:
    """The two channels of an edition, as its files stand."""
    return TwoChannels(drafted(edition), Kept())


def found(edition: str, metal: str, size: float | str) -> str:
    """What an edition finds of the size of a bond on a gas pipe from the ground, off PME behind a line conductor of 10 mm²."""
    bond = {"on": "entering_pipe", "connected_to": "main_earthing_terminal", "size": size, "material": metal}
    gas = {
        "id": "gas",
        "kind": "gas",
        "comes_from": "ground",
        "enters_as": "steel",
        "insulating_section": "none",
        "inside": "copper",
        "hidden": "no",
        "bonds": [bond],
    }
    supply = {
        "earthing_system": "TN-S",
        "pme_conditions": "do_not_apply",
        "line_conductor": {"size": 10, "material": "copper"},
        "earthing_conductor": {"buried": "no"},
    }
    described = {"work": {"kind": "inspection", "inspected_on": "2026-11-25"}, "supply": supply, "services": [gas]}

    (part,) = [one for one in evaluate(read(described), drafted(edition), channels(edition).acts).parts if one.bonds]
    return next(one.act_on for one in part.bonds[0].verdicts if one.outcome == "bond_size_found")


@pytest.mark.parametrize(
    ("metal", "size", "wanted"),
    [
        ("copper", 6, "good"),
        ("copper", 10, "good"),
        ("aluminium", 9.9, "too_small"),
        ("aluminium", 10, "departs"),
        ("aluminium", 10.1, "good"),
        ("aluminium", 16, "good"),
        ("steel", 10, "too_small"),
        ("steel", 48, "good"),
        ("unknown", 10, "not_shown"),
        ("aluminium", "unknown", "not_shown"),
        ("copper", "7/.044", "good"),
        ("aluminium", "7/.044", "too_small"),  # 6.9 mm²
    ],
)
def test_bond_of_10_mm2_and_less_is_of_copper(metal: str, size: float | str, wanted: str) -> None:
    assert found(BS, metal, size) == wanted


@pytest.mark.parametrize(
    ("metal", "size", "wanted"),
    [
        ("copper", 6, "good"),
        ("aluminium", 15.9, "departs"),
        ("aluminium", 16, "good"),
        ("steel", 47.9, "too_small"),
        ("steel", 48, "departs"),
        ("steel", 49.9, "departs"),
        ("steel", 50, "good"),
        ("unknown", 48, "not_shown"),
    ],
)
def test_international_rules_have_a_least_size_for_each_metal(metal: str, size: float, wanted: str) -> None:
    assert found(IEC, metal, size) == wanted

"""Every special location that a pack judges has firm verdicts in each direction among its worked cases: connect, leave, and hold back."""

from collections import Counter, defaultdict
from collections.abc import Mapping
from functools import cache

import pytest
from tests.core.cases import cases, judged, published_pack
from tests.rules.revisions import newest

from bondwright.rulebook.pack import RulePack

HELD = ("stop", "do_not_connect", "settle_first")
DIRECTIONS: Mapping[str, tuple[str, ...]] = {"connect": ("do",), "leave": ("leave",), "hold back": HELD}
NOTHING_TO_JOIN = {"vehicle_charging", "outdoor_metal"}
"""Kinds of whose metal nothing is ever joined: a vehicle has its cable, and metal outdoors is kept from the earth of the supply."""
_ALL = "judged"


@cache
def firm() -> Mapping[str, Counter[str]]:
    """By kind of location, how often each mark is told of one in a claim where every verdict is firm, and how many claims are about one."""
    found: dict[str, Counter[str]] = defaultdict(Counter)
    for claim in (claim for case in cases() for _, claim in case.claims if claim.installation.get("locations")):
        evaluation = judged(claim.installation)
        for location, room in zip(claim.installation["locations"], evaluation.rooms, strict=False):
            if isinstance(location, dict) and all(verdict.firm for verdict in room.verdicts):
                found[location.get("kind", "")][room.mark] += 1
            if isinstance(location, dict):
                found[location.get("kind", "")][_ALL] += 1
    return found


def special(pack: RulePack) -> list[str]:
    """The kinds of location with duties of their own."""
    return sorted(kind for kind in pack.places.kinds if kind != "ordinary_room")


@pytest.mark.parametrize("kind", sorted({*special(published_pack()), *special(newest("bs7671-2018-a3"))}))
def test_a_place_has_firm_verdicts_in_each_direction_and_four_claims_or_more(kind: str) -> None:
    told = firm()[kind]
    expected = {name for name in DIRECTIONS if not (name == "connect" and kind in NOTHING_TO_JOIN)}

    assert {name for name in expected if not any(told[mark] for mark in DIRECTIONS[name])} == set()
    assert told[_ALL] >= 4


@cache
def files() -> Counter[str]:
    """By kind of location, how many files of worked cases describe one, in the claim or a near miss."""
    kinds = ({one.get("kind") for _, claim in case.claims for one in claim.installation.get("locations", ())} for case in cases())
    return Counter(kind for some in kinds for kind in some)


@pytest.mark.parametrize("kind", sorted({*special(published_pack()), *special(newest("bs7671-2018-a3"))}))
def test_four_worked_cases_or_more_are_about_each_place(kind: str) -> None:
    assert files()[kind] >= 4

"""Heating in floors and ceilings: shown only where it is described, and never judged more mildly for a fact that was withheld."""

import json
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from itertools import product
from typing import Any, TypeAlias

import pytest

from bondwright.compose.answer import RoomAnswer
from bondwright.conclude.concluding import plainly
from bondwright.evaluate.order import evaluate
from bondwright.installation.reading import read_installation
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.declared.terms import terms_of
from bondwright.shelf.packs import draft_pack, rules_folder

WORK = {"kind": "inspection", "inspected_on": "2026-11-25"}
OF_ELEMENT = {
    "protected_as": ("ordinary", "selv", "separated"),
    "element_metal": ("sheath", "none"),
    "element_grid": ("on_touched_side", "elsewhere"),
    "grid_spacing": (0.03, 0.0305),
    "element_earthed": ("yes", "no"),
}
OF_CIRCUIT = {
    "protected_as": ("ordinary", "selv"),
    "element_earthed": ("yes", "no"),
    "rcd": ("30_mA_or_less", "none"),
    "supplies_heating": ("yes", "no"),
}
"""What is said of a heating element, and of its circuit; 30 mm is the limit of the grid, as Wiring Matters 45 is quoted."""
_SOUND: Mapping[str, Any] = {"element_metal": "sheath", "rcd": "30_mA_or_less", "supplies_heating": "yes"}
_TOLD = ("element_metal", "element_grid", "grid_spacing", "element_earthed")
Said: TypeAlias = Mapping[str, Any]


@pytest.fixture(scope="module")
def pack() -> RulePack:
    """The edition as its files stand."""
    return draft_pack(rules_folder(), "bs7671/2018-a4")


def room(pack: RulePack, kind: str, said: Said | None) -> RoomAnswer:
    """What is answered of a location of a kind with such an element; none without."""
    circuit = {"measure": "automatic_disconnection", "disconnection_met": "yes", "rcd_tested": "yes", "cpc": 1.5}
    items = []
    if said is not None:
        told = {name: said[name] for name in _TOLD if name in said}
        protected = said.get("protected_as", "unknown")
        items = [{"kind": "heating_element", "accessible": "no", "protected_as": protected, "told": told, "bonds": []}]
        known = {name: said[name] for name in ("supplies_heating",) if name in said}
        circuit |= {"rcd": said.get("rcd", "unknown"), "told": known}
    described = {"work": WORK, "locations": [{"kind": kind, "services": [], "items": items, "circuits": [circuit]}]}
    read = read_installation(json.dumps(described).encode(), terms_of((pack,)))
    (found,) = evaluate(read, pack, plainly(pack)).rooms
    return found


def levels(found: RoomAnswer, pack: RulePack) -> dict[str, int]:
    """How cautious each verdict is, at worst."""
    return {one.outcome: pack.outcomes[one.outcome].levels.index(one.worst_case) for one in found.verdicts}


def withheld(said: Said) -> Iterator[Said]:
    """The same with one fact withheld, each in turn."""
    for name in said:
        yield {other: value for other, value in said.items() if other != name}


@pytest.mark.parametrize("kind", ["bath_or_shower", "ordinary_room"])
def test_a_room_without_heating_is_told_nothing_of_heating(kind: str, pack: RulePack) -> None:
    heated, plain = room(pack, kind, {}), room(pack, kind, None)

    assert [one.outcome for one in plain.verdicts] == ["supplementary_bonding"]
    more = ["heating_earthing", "heating_measure", "heating_protection"]
    assert [one.outcome for one in heated.verdicts] == ["supplementary_bonding", *more]


@pytest.mark.parametrize(("kind", "turned"), [("bath_or_shower", OF_ELEMENT), ("floor_or_ceiling_heating", OF_CIRCUIT)])
def test_withholding_what_is_said_of_heating_never_makes_it_milder(kind: str, turned: Mapping[str, Sequence[Any]], pack: RulePack) -> None:
    found = cache(lambda said: room(pack, kind, dict(said)))
    for values in product(*turned.values()):
        said = {**_SOUND, **dict(zip(turned, values, strict=True))}
        fuller = found(tuple(said.items()))
        before = levels(fuller, pack)
        for less in withheld(said):
            held = found(tuple(less.items()))
            after = levels(held, pack)
            assert {name: after[name] for name in before if after[name] < before[name]} == {}, (said, less)
            assert not leaves(held, pack) or leaves(fuller, pack), (said, less)


def leaves(found: RoomAnswer, pack: RulePack) -> bool:
    """Whether nothing is done there."""
    return pack.advice[found.act].instruction in ("leave", "keep")


def test_heating_of_which_nothing_is_known_is_neither_cleared_nor_joined(pack: RulePack) -> None:
    found = room(pack, "bath_or_shower", {})

    assert (found.act, found.mark) == ("heating_ask", "settle_first")
    assert {one.outcome: one.act_on for one in found.verdicts if one.outcome.startswith("heating")} == {
        "heating_earthing": "not_shown",
        "heating_measure": "ask_first",
        "heating_protection": "not_shown",
    }

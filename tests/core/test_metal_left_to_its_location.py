"""Metal in a location whose kind says so is left to what is judged of the location, and is not cleared as metal of the building."""

import pytest
from tests.core.cases import published_pack, read
from tests.core.kinds import SUPPLY, WORK

from bondwright.conclude.concluding import plainly
from bondwright.evaluate.order import evaluate
from bondwright.members import replace
from bondwright.rulebook.pack import RulePack

RADIATOR = {
    "id": "radiator",
    "kind": "radiator",
    "material": "steel",
    "fed_by": "plastic",
    "touches": "nothing_earthy",
    "accessible": "yes",
}


def with_metal_as(kind: str, item: str) -> RulePack:
    """The newest pack, in which the metal of that kind of location is left to the location as that kind of item."""
    pack = published_pack()
    rows = pack.kinds.rows["location"]
    row = replace(rows[kind], row={**rows[kind].row, "metal_as": item})
    return replace(pack, kinds=replace(pack.kinds, rows={**pack.kinds.rows, "location": {**rows, kind: row}}))


def act_in(pack: RulePack, kind: str) -> str:
    """The act for a radiator in a location of that kind."""
    place = {"id": "place", "kind": kind, "items": [RADIATOR], "services": []}
    said = {"work": WORK, "premises": "house", "supply": SUPPLY, "locations": [place]}
    return next(part.act for part in evaluate(read(said), pack, plainly(pack)).parts if part.part == "radiator")


def test_metal_is_judged_where_its_kind_of_location_says_nothing() -> None:
    assert act_in(published_pack(), "bath_or_shower") == "leave"


@pytest.mark.parametrize("kind", ["bath_or_shower", "ordinary_room"])
def test_metal_is_not_judged_where_its_kind_of_location_leaves_it_to_the_location(kind: str) -> None:
    assert act_in(with_metal_as("bath_or_shower", "boat"), kind) == ("not_judged" if kind == "bath_or_shower" else "leave")


def test_a_kind_of_item_that_is_judged_leaves_nothing_out() -> None:
    assert act_in(with_metal_as("bath_or_shower", "radiator"), "bath_or_shower") == "leave"


def test_a_kind_of_item_that_the_pack_lacks_is_not_judged_and_so_clears_nothing() -> None:
    assert act_in(with_metal_as("bath_or_shower", "nothing_of_the_kind"), "bath_or_shower") == "not_judged"

"""A pack from which any one kind of thing is taken away is refused, or judges a description of such a thing all the same."""

import json
from functools import cache

import pytest
from tests.core.kinds import description
from tests.described import terms
from tests.rules.revisions import published
from tests.rules.test_mutated_packs import nodes

from bondwright.conclude.concluding import plainly
from bondwright.errors import UnreadableRules
from bondwright.evaluate.order import evaluate
from bondwright.installation.reading import read_installation
from bondwright.report.text import evaluation_text
from bondwright.rulebook.kinds import TABLES, KindOf
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import pack_of
from bondwright.shelf.reading.nodes import Map
from bondwright.shelf.reading.scalars import as_map

DRAFT = "bs7671/2018-a4"
ALL_KINDS = tuple((of, name) for of, rows in published("bs7671-2018-a4-r7").kinds.rows.items() for name in rows)


@cache
def _tables() -> Map:
    return as_map(nodes(DRAFT).entries["properties"], "`properties`")


def without(table: str, row: str) -> RulePack | None:
    """The draft without a row of a table; none where it is refused."""
    tables = _tables()
    rows = as_map(tables.entries[table], "a table")
    fewer = Map(
        {name: entry for name, entry in rows.entries.items() if name != row},
        {name: key for name, key in rows.keys.items() if name != row},
        rows.place,
    )
    properties = Map({**tables.entries, table: fewer}, tables.keys, tables.place)
    root = nodes(DRAFT)
    try:
        return pack_of(Map({**root.entries, "properties": properties}, root.keys, root.place), b"")
    except UnreadableRules:
        return None


def told(pack: RulePack, of: KindOf, name: str) -> str:
    """What the pack says of a thing of a kind, on paper."""
    installation = read_installation(json.dumps(description(of, name)).encode(), terms())
    return evaluation_text(evaluate(installation, pack, plainly(pack)), pack.say)


@pytest.mark.parametrize(("of", "name"), ALL_KINDS)
def test_a_kind_that_is_taken_away_is_not_judged(of: KindOf, name: str) -> None:
    pack = without(TABLES[of], name)

    if pack is not None:
        assert not pack.kind(of, name).judged
        assert "This pack has no rule for it." in told(pack, of, name)


def test_a_pack_in_which_things_touch_an_item_that_it_does_not_know_is_refused() -> None:
    """A house with a steel frame would else be judged as if nothing that touches the frame could meet it."""
    assert without("item_kinds", "structural_steel") is None

"""Told facts in drawn descriptions: drawn where packs have any, read as drawn, withheld as others are. The facts are invented."""

import json
from pathlib import Path

import pytest
from hypothesis import find, given, settings
from hypothesis import strategies as st
from tests.core.test_told import FACTS
from tests.properties.descriptions import GENERAL, NEWEST, Said, items, locations, services, special_kinds, told_in, with_told
from tests.properties.withholding import stated, without
from tests.rules.raised import raised_pack
from tests.rules.revisions import newest

from bondwright.installation.reading import read_installation
from bondwright.installation.terms import THINGS, Terms, Thing
from bondwright.shelf.declared.terms import terms_of

WORK = {"kind": "inspection", "inspected_on": "2026-11-25"}


@pytest.fixture(scope="module")
def wider(tmp_path_factory: pytest.TempPathFactory) -> Terms:
    """What descriptions may say where a pack has such facts told."""
    folder: Path = tmp_path_factory.mktemp("raised") / "rules"
    return terms_of((raised_pack(folder, *FACTS),))


@pytest.mark.parametrize("thing", THINGS)
def test_what_is_drawn_of_a_special_location_is_what_the_newest_pack_asks_there(thing: Thing) -> None:
    asked = {(kind, name) for kind in special_kinds() for name in told_in(kind, thing)}
    there = {(kind, one.name) for one in newest(NEWEST).facts.values() if thing in one.told for kind in one.only_in}

    assert asked == {pair for pair in there if pair[0] not in GENERAL}


@settings(deadline=None, max_examples=50)
@given(st.data())
def test_whatever_is_told_is_read_as_it_was_drawn(wider: Terms, data: st.DataObject) -> None:
    told_items = with_told(items(), wider.facts("item"))
    drawn: Said = {
        "work": WORK,
        "items": data.draw(st.lists(told_items, max_size=2)),
        "services": [{**data.draw(with_told(services(), wider.facts("service"))), "joined_to": []}],
        "locations": data.draw(st.lists(with_told(locations(), wider.facts("location")), max_size=1)),
    }

    read = read_installation(json.dumps(drawn).encode(), wider)

    assert [one.told for one in read.items] == [one["told"] for one in drawn["items"]]
    assert [one.told for one in read.services] == [one["told"] for one in drawn["services"]]
    assert [one.told for one in read.locations] == [one["told"] for one in drawn["locations"]]


@pytest.mark.parametrize("said", ["straw", "rubber", "unknown"])
def test_every_word_is_drawn(said: str, wider: Terms) -> None:
    drawn = find(with_told(st.just({}), wider.facts("location")), lambda one: one["told"].get("bedding") == said)

    assert set(drawn) == {"told"}


def test_a_told_fact_can_be_withheld_in_both_ways() -> None:
    said: Said = {"locations": [{"kind": "sauna", "told": {"bedding": "straw", "livestock": "unknown"}}]}
    place = ("locations", 0, "told", "bedding")

    assert list(stated(said)) == [place]
    assert without(said, {place: "left out"})["locations"][0]["told"] == {"livestock": "unknown"}
    assert without(said, {place: "unknown"})["locations"][0]["told"] == {"bedding": "unknown", "livestock": "unknown"}

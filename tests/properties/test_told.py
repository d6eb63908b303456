"""Told facts in drawn descriptions: drawn where packs have any, read as drawn, withheld as others are. The facts are invented."""

import json
from pathlib import Path

import pytest
from hypothesis import Phase, find, given, settings
from hypothesis import strategies as st
from tests.core.test_told import FACTS
from tests.described import terms
from tests.properties.descriptions import Said, installations, items, locations, services, with_told
from tests.properties.withholding import stated, without
from tests.rules.raised import raised_pack

from bondwright.installation.reading import read_installation
from bondwright.installation.terms import THINGS, Terms
from bondwright.shelf.declared.terms import terms_of

WORK = {"kind": "inspection", "inspected_on": "2026-11-25"}


@pytest.fixture(scope="module")
def wider(tmp_path_factory: pytest.TempPathFactory) -> Terms:
    """What descriptions may say where a pack has such facts told."""
    folder: Path = tmp_path_factory.mktemp("raised") / "rules"
    return terms_of((raised_pack(folder, *FACTS),))


def test_nothing_told_is_drawn_where_packs_have_nothing_told() -> None:
    assert {thing for thing in THINGS if terms().facts(thing)} == set()
    first = settings(deadline=None, max_examples=2000, phases=[Phase.generate])  # to find the smallest such description takes seconds
    drawn = find(installations(), lambda said: bool(said["items"] and said["services"] and said["locations"]), settings=first)
    assert '"told"' not in json.dumps(drawn)


@settings(deadline=None, max_examples=50)
@given(st.data())
def test_whatever_is_told_is_read_as_it_was_drawn(wider: Terms, data: st.DataObject) -> None:
    told_items = with_told(items(), "item", wider.facts("item"))
    drawn: Said = {
        "work": WORK,
        "items": data.draw(st.lists(told_items, max_size=2)),
        "services": [{**data.draw(with_told(services(), "service", wider.facts("service"))), "joined_to": []}],
        "locations": data.draw(st.lists(with_told(locations(), "location", wider.facts("location")), max_size=1)),
    }

    read = read_installation(json.dumps(drawn).encode(), wider)

    assert [one.told for one in read.items] == [one["told"] for one in drawn["items"]]
    assert [one.told for one in read.services] == [one["told"] for one in drawn["services"]]
    assert [one.told for one in read.locations] == [one["told"] for one in drawn["locations"]]


@pytest.mark.parametrize("said", ["straw", "rubber", "unknown"])
def test_every_word_is_drawn(said: str, wider: Terms) -> None:
    drawn = find(with_told(st.just({}), "location", wider.facts("location")), lambda one: one["told"].get("bedding") == said)

    assert set(drawn) == {"told"}


def test_a_told_fact_can_be_withheld_in_both_ways() -> None:
    said: Said = {"locations": [{"kind": "sauna", "told": {"bedding": "straw", "livestock": "unknown"}}]}
    place = ("locations", 0, "told", "bedding")

    assert list(stated(said)) == [place]
    assert without(said, {place: "left out"})["locations"][0]["told"] == {"livestock": "unknown"}
    assert without(said, {place: "unknown"})["locations"][0]["told"] == {"bedding": "unknown", "livestock": "unknown"}

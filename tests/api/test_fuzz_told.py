"""Schemathesis over evaluations, on a shelf with an invented place and invented facts of every kind: they are sent, and answered."""

import json
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from tests.api.builders import OURS
from tests.api.fuzzing.run import fuzz
from tests.api.fuzzing.subject import subject
from tests.core.test_told import FACTS, PARLOUR
from tests.described import standing
from tests.rules.parlour import PLACE, publish_unproved, with_parlour
from tests.rules.raised import raised_id, raised_pack

from bondwright.audit.record import Search
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.rulebook.pack import PackHead
from bondwright.shelf.published import on_shelf

FEWER: Mapping[str, tuple[str, ...]] = {
    "Installation": ("work", "rule_pack", "items", "locations"),
    "Item": ("kind", "told"),
    "Location": ("kind", "told", "items"),
    "RoomItem": ("kind", "told"),
}
"""The members that are sent here, by the schema that has them; what is left out of a request is no fault."""


@dataclass(frozen=True, slots=True)
class Told:
    """What is sent unless schemathesis draws another: a pack, a kind of location and of metalwork there, and facts that it asks there.

    `acts`: what some of the answers have to say.
    """

    pack_id: str
    location: str
    item: str
    of_locations: frozenset[str]
    in_items: frozenset[str]
    acts: frozenset[str]

    @property
    def facts(self) -> frozenset[str]:
        """All of those facts."""
        return self.of_locations | self.in_items


OF_A_PLACE = Told(
    raised_id("iec60364-2017"),
    PLACE,
    "floor_grid",
    frozenset({"livestock_present", "floor_heated", "grid_reading"}),
    frozenset({"welded_at_crossings"}),
    frozenset({"parlour_ask", "parlour_settle"}),
)
OF_KINDS = Told(
    raised_id("bs7671-2018-a4"), PARLOUR, "gate", frozenset({"livestock", "bedding"}), frozenset({"depth", "grid"}), frozenset()
)


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> tuple[PackHead, ...]:
    """The packs that stand, one with facts of every kind, and the one that has the parlour, published."""
    folder = with_parlour(tmp_path_factory.mktemp("parlour") / "rules")
    publish_unproved(folder)
    return (*standing(), raised_pack(tmp_path_factory.mktemp("facts") / "rules", *FACTS), *on_shelf(folder))


def narrowed(schemas: dict[str, Any], told: Told) -> None:
    """Leaves those members alone in the document, and few words for them, so that a short run comes to each fact."""
    for name, members in FEWER.items():
        schemas[name]["properties"] = {member: schemas[name]["properties"][member] for member in members}
        if "told" in members:
            facts = schemas[name]["properties"]["told"]
            facts["properties"] = {fact: said for fact, said in facts["properties"].items() if fact in OF_A_PLACE.facts | OF_KINDS.facts}
    for name, member, words in (
        ("Installation", "rule_pack", [told.pack_id]),
        ("Location", "kind", [told.location, "bath_or_shower"]),
        ("Item", "kind", [told.item, "tank"]),
        ("RoomItem", "kind", [told.item, "tank"]),
    ):
        schemas[name]["properties"][member] |= {"enum": words, "x-left-out": words[0], "x-enum-descriptions": words}


@pytest.mark.parametrize("told", [OF_A_PLACE, OF_KINDS], ids=["place", "kinds"])
def test_told_facts_are_drawn_from_the_document_and_every_promise_is_kept(told: Told, shelf: tuple[PackHead, ...], tmp_path: Path) -> None:
    with subject(shelf, tmp_path) as (app, keys):
        schemas = app.openapi()["components"]["schemas"]
        properties = schemas["Location"]["properties"]["told"]
        drawn = set(properties["properties"])
        narrowed(schemas, told)
        report = fuzz(app, keys, tmp_path, "--phases=coverage", "--include-name=POST /v1/evaluations")
        with closing(SqliteRecordStore(tmp_path / "record.sqlite")) as store:
            kept = [store.get(OURS, one.evaluation_id) for one in store.find(OURS, Search(pack=told.pack_id), None, 10_000)]

    used, unused, acts = Counter[str](), Counter[str](), set[str]()
    for said, answer in ((json.loads(record.input_bytes), json.loads(record.evaluation_bytes)) for record in kept):
        left = {one["pointer"] for one in answer.get("told_not_used", ())}
        acts |= {room["act"] for room in answer["rooms"]}
        for pointer, fact in facts_in(said):
            (unused if pointer in left else used)[fact] += 1
    assert OF_A_PLACE.of_locations | OF_KINDS.of_locations <= drawn and properties["additionalProperties"] is False
    assert (report.status, report.found) == (0, frozenset()), report.said
    assert [one for one in report.sent if one.status is None or one.status >= 500] == []
    assert told.facts == set(used) and min(used.values()) >= 10, used
    assert unused and told.acts <= acts


def facts_in(said: Any) -> Iterator[tuple[str, str]]:
    """Every fact that a description tells with a value, and its place."""
    for at, location in enumerate(said.get("locations") or ()):
        yield from _told(f"/locations/{at}", location)
        inside = location.get("items", ())
        for number, item in enumerate(inside if isinstance(inside, list) else ()):
            yield from _told(f"/locations/{at}/items/{number}", item)
    for at, item in enumerate(said.get("items") or ()):
        yield from _told(f"/items/{at}", item)


def _told(pointer: str, thing: Any) -> Iterator[tuple[str, str]]:
    for fact, value in (thing.get("told") or {}).items() if isinstance(thing, dict) else ():
        if value != "unknown":
            yield f"{pointer}/told/{fact}", fact

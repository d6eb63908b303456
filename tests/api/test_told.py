"""Told facts over HTTP: asked for where a pack has them, kept, and read again when the pack that had them is gone. The pack is invented."""

from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, service
from tests.core.test_told import FACTS, PARLOUR
from tests.described import standing
from tests.rules.raised import raised, raised_id

from bondwright.api.app import create_app
from bondwright.assembly import Bondwright
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import consolidate, load_pack

SAID = {
    "work": {"kind": "inspection", "inspected_on": "2026-11-25"},
    "locations": [
        {"kind": PARLOUR, "told": {"livestock": "yes", "bedding": "unknown"}, "items": [{"kind": "tank", "told": {"depth": 2}}]},
    ],
}


@pytest.fixture(scope="module")
def pack(tmp_path_factory: pytest.TempPathFactory) -> RulePack:
    """The newest edition, with facts told, as it is read once it is published."""
    rules = raised(tmp_path_factory.mktemp("raised") / "rules", *FACTS)
    return load_pack(consolidate(rules, "bs7671/2018-a4"), f"published/{raised_id('bs7671-2018-a4')}.yaml")


@pytest.fixture
def wider(pack: RulePack, record_file: Path) -> Iterator[Bondwright]:
    """The service with that pack beside those that stand."""
    with closing(service((*standing(), pack), record_file)) as built:
        yield built


def sent(bondwright: Bondwright, said: Any) -> Any:
    """What is answered."""
    return TestClient(create_app(bondwright)).post(EVALUATIONS, json=said)


def test_a_description_with_told_facts_is_answered_by_a_pack_that_has_them_and_by_one_that_has_not(
    wider: Bondwright, pack: RulePack
) -> None:
    newer, older = sent(wider, SAID), sent(wider, {**SAID, "rule_pack": "bs7671-2018-a4-r7"})

    assert (newer.status_code, older.status_code) == (201, 201)
    assert newer.json()["evaluation"]["pack"]["pack_id"] == pack.pack_id
    assert "told_not_used" not in newer.json()["evaluation"]
    assert [(one["pointer"], one["why"]) for one in older.json()["evaluation"]["told_not_used"]] == [
        ("/locations/0/told/livestock", "not_in_pack"),
        ("/locations/0/told/bedding", "not_in_pack"),
        ("/locations/0/items/0/told/depth", "not_in_pack"),
    ]


def test_a_told_fact_that_no_pack_has_is_refused(bondwright: Bondwright) -> None:
    answer = sent(bondwright, SAID)

    assert answer.status_code == 422
    # A key that is close to one that a pack has told is refused at the key.
    near = [f"/locations/0/told/{name}" for name in ("bedding", "livestock")]
    assert [fault["pointer"] for fault in answer.json()["errors"]] == ["/locations/0/items/0/told", *near]


def test_a_record_is_replayed_where_the_pack_that_had_the_facts_is_no_longer(wider: Bondwright, record_file: Path) -> None:
    kept = sent(wider, SAID).json()["evaluation_id"]
    wider.close()

    with closing(service(standing(), record_file)) as later:
        replay = later.replay(kept)

    assert (replay.not_evaluated, replay.same_bytes, replay.same_levels) == (None, "same", True)


def test_the_document_names_each_fact_with_its_question_and_its_unit(wider: Bondwright) -> None:
    told = create_app(wider).openapi()["components"]["schemas"]["Item"]["properties"]["told"]["properties"]

    assert told["depth"]["description"] == "How deep is it? (how deep)."
    assert [one.get("x-unit") for one in told["depth"]["anyOf"]] == ["m", None]
    assert told["depth"]["examples"] == [0.1]

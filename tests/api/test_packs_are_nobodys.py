"""Rule packs belong to no tenant: what descriptions may say comes from the shelf at the start, and nothing brings in more."""

import re
from argparse import ArgumentParser
from collections.abc import Iterator
from contextlib import closing
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest
from fastapi.routing import APIRoute
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, JSON, OURS, THEIRS, WORK, bearer, keyring, service
from tests.described import standing
from tests.rules.parlour import PLACE, publish_unproved, with_parlour

from bondwright.access.keys import SCOPES
from bondwright.api.app import create_app
from bondwright.assembly import Bondwright
from bondwright.cli.serve import add_serve
from bondwright.rulebook.pack import PackHead
from bondwright.settings import Settings
from bondwright.shelf.published import on_shelf

TENANTS = (None, OURS, THEIRS)
SENT = {("POST", "/v1/evaluations"), ("POST", "/v1/batches"), ("POST", "/v1/evaluations/{evaluation_id}/replay")}
"""Every operation that is sent something or changes something, beside the calculations."""
PACKS = re.compile(r"rule|pack|shelf|vocabular|word|language", re.IGNORECASE)
"""What a setting would be called that leads to packs."""


@pytest.fixture(scope="module")
def theirs(tmp_path_factory: pytest.TempPathFactory) -> PackHead:
    """A pack with an invented place, which another service has on its shelf."""
    folder = with_parlour(tmp_path_factory.mktemp("theirs") / "rules")
    publish_unproved(folder)
    return on_shelf(folder)[0]


@pytest.fixture
def parlour(theirs: PackHead) -> dict[str, Any]:
    """A description in the words of that pack."""
    return {"work": WORK, "rule_pack": theirs.pack_id, "locations": [{"kind": PLACE, "told": {"livestock_present": "yes"}}]}


@pytest.fixture
def recorded(theirs: PackHead, parlour: dict[str, Any], record_file: Path) -> str:
    """What one tenant recorded by that pack, before the store came to this service."""
    with closing(service((*standing(), theirs), record_file)) as elsewhere, closing(keyring(record_file)) as keys:
        front = TestClient(create_app(elsewhere, keys))
        answer = front.post(EVALUATIONS, json=parlour, headers=bearer(keys.create(THEIRS, SCOPES)[0]))
        assert answer.status_code == 201, answer.text
        return str(answer.json()["evaluation_id"])


@pytest.fixture
def built(recorded: str, record_file: Path) -> Iterator[Bondwright]:
    """The service over those records, with the packs that stand."""
    assert recorded
    with closing(service(standing(), record_file)) as built:
        yield built


@pytest.fixture
def asked(built: Bondwright, record_file: Path) -> Iterator[dict[str | None, TestClient]]:
    """Its front, as each tenant and somebody without a key comes to it."""
    with closing(keyring(record_file)) as keys:
        app = create_app(built, keys)
        headers = {tenant: bearer(keys.create(tenant, SCOPES)[0]) if tenant else {} for tenant in TENANTS}
        yield {tenant: TestClient(app, headers=told) for tenant, told in headers.items()}


def documents(asked: dict[str | None, TestClient]) -> set[bytes]:
    """The document as each of them reads it."""
    return {front.get("/openapi.json").content for front in asked.values()}


def test_every_tenant_reads_the_same_document_whatever_packs_its_records_rest_on(
    asked: dict[str | None, TestClient], built: Bondwright, recorded: str
) -> None:
    (before,), terms = documents(asked), built.terms

    replay = asked[THEIRS].post(f"{EVALUATIONS}/{recorded}/replay")

    assert (replay.status_code, replay.json()["same_bytes"]) == (200, "same")
    assert documents(asked) == {before}
    assert PLACE.encode() not in before
    assert built.terms is terms


def test_a_place_that_only_the_records_of_a_tenant_know_is_refused_at_its_place(
    asked: dict[str | None, TestClient], parlour: dict[str, Any], recorded: str
) -> None:
    asked[THEIRS].post(f"{EVALUATIONS}/{recorded}/replay")

    answers = [asked[tenant].post(EVALUATIONS, json=parlour) for tenant in (OURS, THEIRS)]

    assert [answer.status_code for answer in answers] == [422, 422]
    pointers = [[fault["pointer"] for fault in answer.json()["errors"]] for answer in answers]
    # The key is close to one that a pack of the shelf has told, so it is refused at the key.
    assert pointers == [["/locations/0/kind", "/locations/0/told/livestock_present"]] * 2


@pytest.mark.parametrize("by", ["pack_id", "digest"])
def test_a_pack_that_only_the_records_of_a_tenant_know_judges_nothing(
    by: str, asked: dict[str | None, TestClient], theirs: PackHead
) -> None:
    answers = [asked[tenant].post(EVALUATIONS, json={"work": WORK, "rule_pack": getattr(theirs, by)}) for tenant in (OURS, THEIRS)]

    assert [answer.status_code for answer in answers] == [409, 409]
    assert [[fault["pointer"] for fault in answer.json()["errors"]] for answer in answers] == [["/rule_pack"]] * 2
    assert "published" in answers[0].json()["errors"][0]["detail"]


def test_a_whole_pack_in_the_place_of_its_name_is_refused_there(asked: dict[str | None, TestClient], theirs: PackHead) -> None:
    text = theirs.whole().text.decode()

    for pack in (text, {"pack": text}, [text]):
        answer = asked[THEIRS].post(EVALUATIONS, json={"work": WORK, "rule_pack": pack})

        assert answer.status_code == 422
        assert [fault["pointer"] for fault in answer.json()["errors"]] == ["/rule_pack"]


def test_a_pack_is_no_description(asked: dict[str | None, TestClient], theirs: PackHead) -> None:
    front, text, kinds = asked[THEIRS], theirs.whole().text, ("application/yaml", "text/plain")

    statuses = [front.post(EVALUATIONS, content=text, headers={"content-type": kind}).status_code for kind in kinds]

    assert statuses == [415, 415]
    assert front.post(EVALUATIONS, content=text, headers=JSON).status_code == 400
    assert [front.request(method, "/v1/rule-packs", content=text).status_code for method in ("POST", "PUT", "PATCH", "DELETE")] == [405] * 4


def test_no_operation_takes_a_pack(asked: dict[str | None, TestClient], built: Bondwright) -> None:
    document = asked[OURS].get("/openapi.json").json()
    routes = [route for route in create_app(built).routes if isinstance(route, APIRoute)]
    taking = {(method, route.path) for route in routes for method in (route.methods or set()) - {"GET", "HEAD", "OPTIONS"}}

    bodies = {(method, path): document["paths"][path][method.lower()].get("requestBody", {}) for method, path in taking}

    calculations = {key for key in bodies if key[1].startswith("/v1/calculations/")}
    assert len(calculations) > 5 and taking - calculations == SENT
    sent = reached(bodies, document["components"]["schemas"])
    members = {member for name in sent for member in document["components"]["schemas"][name].get("properties", ())}
    assert "Installation" in sent and {member for member in members if PACKS.search(member)} == {"rule_pack"}


def reached(value: Any, schemas: dict[str, Any]) -> set[str]:
    """The names of all schemas that something in the document leads to."""
    found: set[str] = set()
    left = [value]
    while left:
        new = set(re.findall(r"#/components/schemas/(\w+)", str(left.pop()))) - found
        found |= new
        left += [schemas[name] for name in new]
    return found


def test_no_setting_and_no_option_leads_to_packs() -> None:
    parser = ArgumentParser()
    add_serve(parser)

    names = [field.name for field in fields(Settings)] + list(vars(parser.parse_args([])))
    assert [name for name in names if PACKS.search(name)] == []

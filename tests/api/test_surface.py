"""Everything around the evaluations: rule packs, health, documentation, unknown paths and methods."""

import json
import re
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON, service

from bondwright.api.app import create_app
from bondwright.api.problems import KINDS, MEDIA_TYPE
from bondwright.api.rule_packs import condition_json
from bondwright.assembly import Bondwright
from bondwright.rulebook.pack import PackHead
from bondwright.shelf.reading.conditions import read_condition
from bondwright.shelf.reading.names import Reach, Vocabulary
from bondwright.shelf.reading.nodes import read_nodes

PACKS = "/v1/rule-packs"


def test_the_published_packs_are_listed(client: TestClient, packs: tuple[PackHead, ...]) -> None:
    answer = client.get(PACKS)

    assert {pack.pack_id: pack.digest for pack in packs} == {entry["pack_id"]: entry["digest"] for entry in answer.json()["rule_packs"]}


def test_a_pack_is_found_by_its_digest_as_by_its_id(client: TestClient, packs: tuple[PackHead, ...]) -> None:
    by_id, by_digest = (client.get(f"{PACKS}/{reference}") for reference in (packs[0].pack_id, packs[0].digest))

    assert by_id.status_code == 200
    assert by_digest.content == by_id.content


def test_every_rule_can_be_read(client: TestClient, packs: tuple[PackHead, ...]) -> None:
    pack = packs[0].whole()

    answers = [client.get(f"{PACKS}/{pack.pack_id}/rules/{rule.rule_id}") for rule in pack.rules]

    assert {answer.status_code for answer in answers} == {200}
    assert [answer.json()["says"] for answer in answers] == [rule.says for rule in pack.rules]


def test_a_rule_names_its_source_and_its_place(client: TestClient, packs: tuple[PackHead, ...]) -> None:
    pack = packs[0].whole()
    rule = pack.rules[0]

    answer = client.get(f"{PACKS}/{pack.pack_id}/rules/{rule.rule_id}").json()

    assert answer["source"] == {"name": rule.source, "title": pack.sources[rule.source].title}
    assert (answer["file"], answer["line"]) == (rule.place.file, rule.place.line)
    assert answer["origin"] == f"{rule.origin.file}:{rule.origin.line}"


def test_a_condition_is_shown_as_rule_files_write_it(packs: tuple[PackHead, ...]) -> None:
    pack = packs[0].whole()
    words = Vocabulary(pack.stages, pack.facts, pack.outcomes, pack.sources, pack.values, {}, pack.tables)

    shown = {rule.rule_id: json.dumps(condition_json(rule.when, pack)).encode() for rule in pack.rules}

    read_again = {
        rule.rule_id: read_condition(read_nodes(shown[rule.rule_id], "shown.yaml"), Reach(rule.of, rule.stage, words))
        for rule in pack.rules
    }
    assert {rule.rule_id: rule.when for rule in pack.rules} == read_again


def test_every_reason_in_an_answer_leads_to_its_rule(client: TestClient) -> None:
    evaluation = client.post(EVALUATIONS, content=HOUSE, headers=JSON).json()["evaluation"]
    reasons = evaluation["reasons"]

    found = [client.get(f"{PACKS}/{evaluation['pack']['digest']}/rules/{reason['rule']}").json() for reason in reasons]

    assert reasons != []
    assert [(rule["clause"], rule["says"]) for rule in found] == [(reason["clause"], reason["says"]) for reason in reasons]
    assert [rule["other_view"] is not None for rule in found] == [reason.get("disputed", False) for reason in reasons]


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/v1",
        "/v1/evaluations/",
        "/v1/evaluations/none",
        "/v1/evaluations/00000000-0000-0000-0000-000000000000",
        "/v1/evaluations/00000000-0000-0000-0000-000000000000/outline",
        "/v1/evaluations/00000000-0000-0000-0000-000000000000/record",
        "/v1/rule-packs/none",
        "/v1/rule-packs/none/rules/none",
        "/static-offline-docs/none",
        "/redoc",
        "/problems/none",
    ],
)
def test_an_unknown_path_is_a_problem(client: TestClient, path: str) -> None:
    answer = client.get(path)

    assert (answer.status_code, answer.headers["content-type"]) == (404, MEDIA_TYPE)


@pytest.mark.parametrize(
    ("path", "methods"),
    [
        (EVALUATIONS, "GET, HEAD, OPTIONS, POST"),
        (f"{EVALUATIONS}/none/record", "GET, HEAD, OPTIONS"),
        (f"{EVALUATIONS}/none/replay", "OPTIONS, POST"),
        (f"{EVALUATIONS}/none", "GET, HEAD, OPTIONS"),
        (PACKS, "GET, HEAD, OPTIONS"),
        ("/livez", "GET, HEAD, OPTIONS"),
        ("/docs", "GET, HEAD, OPTIONS"),
        ("/openapi.json", "GET, HEAD, OPTIONS"),
        ("/static-offline-docs/swagger-ui.css", "GET, HEAD, OPTIONS"),
    ],
)
def test_another_method_is_a_problem_that_names_the_methods(client: TestClient, path: str, methods: str) -> None:
    answer = client.delete(path)

    assert (answer.status_code, answer.headers["content-type"]) == (405, MEDIA_TYPE)
    assert answer.headers["allow"] == methods


def test_being_alive_touches_no_record(client: TestClient, record_file: Path) -> None:
    answer = client.get("/livez")

    assert answer.json() == {"status": "alive"}
    assert not record_file.exists()


def test_ready_means_that_the_record_takes_writes(client: TestClient, record_file: Path) -> None:
    answer = client.get("/readyz")

    assert (answer.status_code, answer.json()) == (200, {"status": "ready"})
    assert record_file.exists()


def test_a_service_whose_record_cannot_be_opened_is_not_ready(packs: tuple[PackHead, ...], tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder")
    unready = service(packs, tmp_path / "file" / "record.sqlite")

    answers = [
        client.request(method, path, content=HOUSE, headers=JSON)
        for client in [TestClient(create_app(unready))]
        for method, path in [("GET", "/readyz"), ("POST", EVALUATIONS)]
    ]
    unready.close()

    assert [(answer.status_code, answer.headers["content-type"]) for answer in answers] == [(503, MEDIA_TYPE)] * 2
    assert [answer.text for answer in answers if str(tmp_path) in answer.text] == []


def test_a_service_without_rules_is_not_ready(record_file: Path) -> None:
    empty = service((), record_file)

    answer = TestClient(create_app(empty)).get("/readyz")
    empty.close()

    assert answer.status_code == 503


def test_the_documentation_needs_no_other_server(client: TestClient) -> None:
    page = client.get("/docs").text

    places = re.findall(r"(?:href|src|url)\s*[=:]\s*[\"']([^\"']+)", page)

    assert len(places) >= 4
    assert [place for place in places if not place.startswith("/")] == []
    assert {client.get(place).status_code for place in places} == {200}


def test_the_head_of_the_documentation_leads_to_every_problem(bondwright: Bondwright) -> None:
    head = create_app(bondwright).openapi()["info"]["description"]

    assert [kind.name for kind in KINDS if f"(/problems/{kind.name})" not in head] == []


@pytest.mark.parametrize("path", ["/docs", "/problems", "/problems/internal"])
def test_the_browser_s_title_begins_with_whose_page_it_is(client: TestClient, path: str) -> None:
    (title,) = re.findall("<title>(.*?)</title>", client.get(path).text)

    assert title.startswith("Bondwright: ")

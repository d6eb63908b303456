"""The OpenAPI document: kept in the repository, and what it promises about errors."""

import re
from typing import Any

from pydantic import TypeAdapter
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, JSON, evaluation_in
from tests.api.keep_documents import ANSWER, OPENAPI, REQUEST, document_bytes
from tests.described import schema_of

from bondwright.api.evaluations import RecordedEvaluation
from bondwright.api.problems import MEDIA_TYPE
from bondwright.assembly import Bondwright
from bondwright.installation.description import Installation

HOW = "run `uv run python -m tests.api.keep_documents` and say why in openapi/CHANGES.md"


def test_the_kept_document_is_the_one_that_is_served(bondwright: Bondwright) -> None:
    kept = (OPENAPI / "openapi.json").read_bytes()

    assert kept == document_bytes(bondwright), HOW


def test_every_declared_error_is_a_problem(client: TestClient) -> None:
    document = client.get("/openapi.json").json()

    errors = [
        response
        for path in document["paths"].values()
        for operation in path.values()
        for status, response in operation["responses"].items()
        if status >= "400"
    ]

    assert errors != []
    assert [error for error in errors if list(error["content"]) != [MEDIA_TYPE]] == []


def test_every_reference_in_the_document_leads_somewhere(client: TestClient) -> None:
    document = client.get("/openapi.json").json()

    assert set(_references(document)) <= {f"#/components/{kind}/{name}" for kind, named in document["components"].items() for name in named}


def test_every_link_in_the_document_leads_to_an_operation_and_gives_what_its_path_needs(client: TestClient) -> None:
    paths = client.get("/openapi.json").json()["paths"]
    operations = {operation["operationId"]: (path, operation) for path, methods in paths.items() for operation in methods.values()}
    links = [
        (link["operationId"], set(link["parameters"]))
        for _, operation in operations.values()
        for response in operation["responses"].values()
        for link in response.get("links", {}).values()
    ]

    assert links != []
    assert [name for name, given in links if given != set(re.findall(r"{(\w+)}", operations[name][0]))] == []


def test_request_and_answer_share_no_schema_name() -> None:
    request = schema_of(Installation)["$defs"]
    answer = TypeAdapter(RecordedEvaluation).json_schema()["$defs"]

    assert set(request) & set(answer) == set()


def test_the_kept_example_is_what_is_answered_today(client: TestClient) -> None:
    today = client.post(EVALUATIONS, content=REQUEST.read_bytes(), headers=JSON)

    assert evaluation_in(ANSWER.read_bytes()) == evaluation_in(today.content), HOW


def _references(value: Any) -> list[str]:
    if isinstance(value, dict):
        own = [value["$ref"]] if isinstance(value.get("$ref"), str) else []
        return own + [found for member in value.values() for found in _references(member)]
    return [found for member in value for found in _references(member)] if isinstance(value, list) else []

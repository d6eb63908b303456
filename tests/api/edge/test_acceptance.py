"""406: what the caller does not accept is not sent, and not done either."""

from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON

from bondwright.api.edge.acceptance import accepts
from bondwright.api.problems import MEDIA_TYPE


@pytest.mark.parametrize(
    "accept",
    [
        "application/json",
        "Application/JSON",
        "*/*",
        "application/*",
        "*",
        "text/html, application/json;q=0.1",
        "text/html;q=1.0 , application/json ; q=0.001",
        "text/html, image/gif, image/jpeg, *; q=.2, */*; q=.2",
        "application/json; charset=utf-8",
        'application/json;charset="UTF-8"',
        'text/plain;note="a, b; c", */*;q=0.5',
        "nonsense, application/json",
        "application/*;q=0, application/json",
        "*/*;q=0, application/json;q=0.5",
        "application/json;version=2;q=0, application/json",
    ],
)
def test_json_is_accepted(accept: str) -> None:
    assert accepts(accept, "application/json")


@pytest.mark.parametrize(
    "accept",
    [
        "text/csv",
        "application/xml, text/*",
        "application/problem+json",
        "application/json;q=0",
        "application/json;q=0.000, */*;q=0",
        "*/*, application/json;q=0",
        "*/*, application/*;q=0",
        "application/json;version=2",
        "application/json;charset=latin-1",
        'text/plain;note="application/json, */*"',
        'text/plain;note="application/json, */*',
        "application/json;q=2",
        "json",
        ";",
    ],
)
def test_json_is_not_accepted(accept: str) -> None:
    assert not accepts(accept, "application/json")


def test_what_is_not_accepted_is_not_done(client: TestClient, record_file: Path) -> None:
    answer = client.post(EVALUATIONS, content=HOUSE, headers={**JSON, "accept": "text/csv"})

    assert (answer.status_code, answer.headers["content-type"]) == (406, MEDIA_TYPE)
    assert not record_file.exists()


@pytest.mark.parametrize(
    ("path", "accept"),
    [("/v1/rule-packs", "text/csv"), ("/docs", "application/json"), ("/openapi.json", "text/html"), ("/livez", "image/png")],
)
@pytest.mark.parametrize("method", ["GET", "HEAD"])
def test_what_is_not_accepted_is_not_sent(client: TestClient, method: str, path: str, accept: str) -> None:
    answer = client.request(method, path, headers={"accept": accept})

    assert (answer.status_code, answer.headers["content-type"]) == (406, MEDIA_TYPE)


@pytest.mark.parametrize(("path", "accept"), [("/docs", "text/html"), ("/static-offline-docs/swagger-ui.css", "text/css"), ("/livez", "")])
def test_what_is_accepted_is_sent(client: TestClient, path: str, accept: str) -> None:
    assert client.get(path, headers={"accept": accept}).status_code == 200


@pytest.mark.parametrize(("method", "path", "status"), [("GET", "/none", 404), ("POST", "/none", 404), ("POST", "/livez", 405)])
def test_a_problem_is_sent_whatever_is_accepted(client: TestClient, method: str, path: str, status: int) -> None:
    answer = client.request(method, path, headers={"accept": "text/csv"})

    assert (answer.status_code, answer.headers["content-type"]) == (status, MEDIA_TYPE)

"""HEAD wherever GET is, OPTIONS everywhere."""

import pytest
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON

VARIES = {"request-id"}


@pytest.mark.parametrize(
    "path", ["/livez", "/docs", "/problems", "/openapi.json", "/static-offline-docs/swagger-ui.css", EVALUATIONS, "/v1/rule-packs", "/none"]
)
def test_head_gives_the_headers_of_get_without_a_body(client: TestClient, path: str) -> None:
    read, asked = client.get(path), client.head(path)

    assert (asked.status_code, asked.content) == (read.status_code, b"")
    assert without(asked.headers, VARIES) == without(read.headers, VARIES)


def test_head_gives_the_headers_of_an_evaluation(client: TestClient) -> None:
    place = client.post(EVALUATIONS, content=HOUSE, headers=JSON).headers["location"]

    read, asked = client.get(place), client.head(place)

    assert without(asked.headers, VARIES) == without(read.headers, VARIES)


def test_head_is_refused_where_nothing_can_be_read(client: TestClient) -> None:
    answer = client.head(f"{EVALUATIONS}/none/replay")

    assert (answer.status_code, answer.headers["allow"], answer.content) == (405, "OPTIONS, POST", b"")


@pytest.mark.parametrize(
    ("path", "methods"),
    [(EVALUATIONS, "GET, HEAD, OPTIONS, POST"), ("/livez", "GET, HEAD, OPTIONS"), ("/problems/internal", "GET, HEAD, OPTIONS")],
)
def test_options_names_the_methods_of_a_path(client: TestClient, path: str, methods: str) -> None:
    answer = client.options(path)

    assert (answer.status_code, answer.headers["allow"], answer.content) == (204, methods, b"")


def test_options_lets_no_page_of_another_origin_in(client: TestClient) -> None:
    answer = client.options(EVALUATIONS, headers={"origin": "https://example.com", "access-control-request-method": "POST"})

    assert [name for name in answer.headers if name.startswith("access-control")] == []


def test_options_of_an_unknown_path_finds_nothing(client: TestClient) -> None:
    assert client.options("/none").status_code == 404


@pytest.mark.parametrize("method", ["TRACE", "CONNECT", "BREW", "PATCH"])
def test_any_other_method_is_refused(client: TestClient, method: str) -> None:
    assert client.request(method, EVALUATIONS).status_code == 405


def without(headers: object, names: set[str]) -> dict[str, str]:
    """The headers but for those names."""
    return {name: value for name, value in dict(headers).items() if name not in names}  # type: ignore[call-overload]

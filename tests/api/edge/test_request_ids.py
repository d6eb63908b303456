"""Every answer has an id, and every problem leads to its page."""

import re
from uuid import UUID

import pytest
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS

from bondwright.api.app import create_app
from bondwright.api.problem_pages.explanations import EXPLANATIONS
from bondwright.api.problems import KINDS, MEDIA_TYPE, Kind
from bondwright.assembly import Bondwright

CANARY = "canary-7f3"


@pytest.mark.parametrize(
    ("method", "path"),
    [
        ("GET", "/livez"),
        ("GET", "/none"),
        ("DELETE", "/livez"),
        ("HEAD", "/v1/rule-packs"),
        ("OPTIONS", EVALUATIONS),
        ("POST", EVALUATIONS),
    ],
)
def test_every_answer_has_an_id_of_its_own(client: TestClient, method: str, path: str) -> None:
    ids = [UUID(client.request(method, path).headers["request-id"]) for _ in range(2)]

    assert [one.version for one in ids] == [7, 7]
    assert ids[0] != ids[1]


def test_a_problem_repeats_the_id(client: TestClient) -> None:
    answer = client.get("/none")

    assert answer.json()["request_id"] == answer.headers["request-id"]


def test_an_id_that_the_caller_sends_is_not_taken_over(client: TestClient) -> None:
    own = "01936000-0000-7000-8000-000000000000"

    answer = client.get("/none", headers={"request-id": own})

    assert answer.headers.get_list("request-id") == [answer.json()["request_id"]]
    assert own not in str(answer.headers) + answer.text


def test_an_unforeseen_fault_is_logged_with_the_id_that_its_caller_has(bondwright: Bondwright, caplog: pytest.LogCaptureFixture) -> None:
    app = create_app(bondwright)

    @app.get("/broken")
    def broken() -> None:
        raise ZeroDivisionError(CANARY)

    answer = TestClient(app).get("/broken")

    assert (answer.status_code, answer.headers["content-type"]) == (500, MEDIA_TYPE)
    assert CANARY not in answer.text
    assert f"request {answer.headers['request-id']}: unforeseen" in caplog.text


def test_a_fault_that_the_framework_finds_is_a_problem_of_ours(bondwright: Bondwright) -> None:
    app = create_app(bondwright)

    @app.get("/counted")
    def counted(number: int) -> int:
        return number

    answer = TestClient(app).get("/counted", params={"number": CANARY})

    assert (answer.status_code, answer.headers["content-type"]) == (422, MEDIA_TYPE)
    assert CANARY not in answer.text


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_the_type_of_a_problem_leads_to_its_page(client: TestClient, kind: Kind) -> None:
    page = client.get(kind.type, headers={"accept": "text/html,application/xhtml+xml,*/*;q=0.8"})

    assert (page.status_code, page.headers["content-type"]) == (200, "text/html; charset=utf-8")
    assert f"<h1>{kind.title} ({kind.status})</h1>" in page.text


def test_every_kind_of_problem_is_explained() -> None:
    names = [kind.name for kind in KINDS]

    assert len(set(names)) == len(names)
    assert set(EXPLANATIONS) == set(names)


def test_the_list_of_problems_leads_to_every_page_and_they_load_nothing(client: TestClient) -> None:
    listed = client.get("/problems").text

    pages = [listed, *(client.get(kind.type).text for kind in KINDS)]

    assert [kind.name for kind in KINDS if f'href="{kind.type}"' not in listed] == []
    assert [
        place for page in pages for place in re.findall(r"(?:href=|src=|url\()[\"']?([^\"')>]+)", page) if not place.startswith("/")
    ] == []

"""Texts that no database could hold, over HTTP: nothing is found under them, and nothing is recorded under them, in either store."""

from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON, OURS, bearer
from tests.api.fuzzing.subject import subject
from tests.audit.conftest import laid_out

from bondwright.api.problems import MEDIA_TYPE
from bondwright.rulebook.pack import PackHead

STRANGE = ["%00", "a%00b", "%ED%A0%80", "%FF", "%0A", "%F0%9F%94%A5", "%27%3B--"]
"""Percent-encoded: NUL, half of a surrogate pair, no UTF-8, a line feed, beyond the basic plane, the end of an SQL text."""


@pytest.fixture(scope="module", params=["sqlite", "postgresql"])
def front(request: pytest.FixtureRequest, packs: tuple[PackHead, ...], tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """Asks the service over each kind of store; it holds one record."""
    database = owner = ""
    if request.param == "postgresql":
        server = request.getfixturevalue("server")
        database = laid_out(server)
        owner = server.as_owner(database)
    with subject(packs, tmp_path_factory.mktemp("strange"), database=database, owner=owner) as (app, keys):
        client = TestClient(app, raise_server_exceptions=False, headers=bearer(keys[OURS]))
        client.post(EVALUATIONS, content=HOUSE, headers=JSON)
        yield client


@pytest.mark.parametrize("text", STRANGE)
def test_nothing_is_found_by_a_strange_text(front: TestClient, text: str) -> None:
    queries = [f"{name}={text}" for name in ("reference", "pack", "rule", "clause")] + [f"outcome={text}&worst_case={text}"]

    answers = [front.get(f"{EVALUATIONS}?{query}") for query in queries]

    assert [(answer.status_code, answer.json()["evaluations"]) for answer in answers] == [(200, [])] * len(queries)


@pytest.mark.parametrize("text", STRANGE)
def test_nothing_has_a_strange_name(front: TestClient, text: str) -> None:
    one = f"{EVALUATIONS}/{text}"
    asked = [
        ("GET", one),
        ("GET", f"{one}/outline"),
        ("GET", f"{one}/record"),
        ("POST", f"{one}/replay"),
        ("GET", f"/v1/rule-packs/{text}"),
    ]

    answers = [front.request(method, path) for method, path in asked]

    assert [(answer.status_code, answer.headers["content-type"]) for answer in answers] == [(404, MEDIA_TYPE)] * len(asked)


@pytest.mark.parametrize(
    ("written", "status", "place"),
    [
        (rb"\u0000", 422, "/reference"),
        (rb"\u001f", 422, "/reference"),
        (rb"\ud800", 400, ""),
        (b"\x00", 400, ""),
        (b"\xed\xa0\x80", 400, ""),
    ],
)
def test_a_strange_reference_is_refused_and_not_recorded(front: TestClient, written: bytes, status: int, place: str) -> None:
    answer = front.post(EVALUATIONS, content=HOUSE.replace(b"Sandpiper", written), headers=JSON)

    assert (answer.status_code, [fault["pointer"] for fault in answer.json()["errors"]]) == (status, [place])
    assert len(front.get(EVALUATIONS).json()["evaluations"]) == 1


@pytest.mark.parametrize("shown", [b"Bearer \x00", b"Bearer \xff", b"Bearer " + b"x" * 5000, b"Bearer \xed\xa0\x80"])
def test_a_strange_key_opens_nothing(front: TestClient, shown: bytes) -> None:
    answer = front.get(EVALUATIONS, headers={b"authorization": shown})

    assert (answer.status_code, answer.headers["content-type"]) == (401, MEDIA_TYPE)

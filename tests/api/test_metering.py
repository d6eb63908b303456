"""Rate limits over HTTP: told in headers, counted in evaluations, for each key alone."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON, OURS, bearer, keyring

from bondwright.api.app import create_app
from bondwright.api.problems import MEDIA_TYPE
from bondwright.assembly import Bondwright, Keyring
from bondwright.settings import Limits

LINES = {"content-type": "application/jsonl"}


@pytest.fixture
def keys(record_file: Path) -> Iterator[Keyring]:
    """The keys of the service."""
    ring = keyring(record_file)
    yield ring
    ring.close()


@pytest.fixture
def client(bondwright: Bondwright, keys: Keyring) -> TestClient:
    """Asks a service that lets each key ask for three evaluations a minute."""
    return TestClient(create_app(bondwright, keys, Limits(evaluations_per_minute=3)))


def test_what_is_left_is_told_and_then_refused(client: TestClient, keys: Keyring) -> None:
    key = bearer(keys.create(OURS, {"evaluate"})[0])

    answers = [client.post(EVALUATIONS, content=HOUSE, headers=JSON | key) for _ in range(4)]

    assert [answer.status_code for answer in answers] == [201, 201, 201, 429]
    assert {answer.headers["ratelimit-policy"] for answer in answers} == {'"evaluations";q=3;w=60'}
    assert [re.sub("t=.*", "", answer.headers["ratelimit"]) for answer in answers] == [f'"evaluations";r={left};' for left in (2, 1, 0, 0)]
    assert answers[3].headers["content-type"] == MEDIA_TYPE
    assert 1 <= int(answers[3].headers["retry-after"]) <= 20


def test_another_key_of_the_same_tenant_is_not_held_back(client: TestClient, keys: Keyring) -> None:
    spent, fresh = (bearer(keys.create(OURS, {"evaluate"})[0]) for _ in range(2))
    for _ in range(4):
        client.post(EVALUATIONS, content=HOUSE, headers=JSON | spent)

    assert client.post(EVALUATIONS, content=HOUSE, headers=JSON | fresh).status_code == 201


def test_a_batch_counts_as_its_lines(client: TestClient, keys: Keyring) -> None:
    key = bearer(keys.create(OURS, {"evaluate"})[0])

    statuses = [client.post("/v1/batches", content=b"{}\n" * lines, headers=LINES | key).status_code for lines in (2, 1, 1)]

    assert statuses == [200, 200, 429]


def test_reading_is_not_counted(client: TestClient, keys: Keyring) -> None:
    key = bearer(keys.create(OURS, {"read"})[0])

    assert {client.get(EVALUATIONS, headers=key).status_code for _ in range(5)} == {200}


@pytest.mark.parametrize("limits", [Limits(evaluations_per_minute=0)])
def test_without_a_limit_nothing_is_told(bondwright: Bondwright, keys: Keyring, limits: Limits) -> None:
    client = TestClient(create_app(bondwright, keys, limits))
    key = bearer(keys.create(OURS, {"evaluate"})[0])

    answers = [client.post(EVALUATIONS, content=HOUSE, headers=JSON | key) for _ in range(4)]

    assert [(answer.status_code, "ratelimit" in answer.headers) for answer in answers] == [(201, False)] * 4

"""The header Idempotency-Key: a request that is sent again is answered as at first, and recorded once."""

import json
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON, OURS, THEIRS, bearer, described, keyring

from bondwright.api.app import create_app
from bondwright.api.problems import MEDIA_TYPE
from bondwright.assembly import Bondwright

KEY = {"Idempotency-Key": '"house-1"'}


def recorded(client: TestClient, headers: dict[str, str] | None = None) -> int:
    """How many evaluations are recorded."""
    return len(client.get(EVALUATIONS, headers=headers).json()["evaluations"])


def test_the_same_request_gets_the_first_answer_again(client: TestClient) -> None:
    first, again = (client.post(EVALUATIONS, content=HOUSE, headers=JSON | KEY) for _ in range(2))

    assert (first.status_code, again.status_code, again.content) == (201, 201, first.content)
    assert [answer.headers.get("idempotency-replayed") for answer in (first, again)] == [None, "true"]
    assert (again.headers["location"], again.headers["rule-pack"]) == (first.headers["location"], first.headers["rule-pack"])
    assert recorded(client) == 1


def test_another_request_under_the_same_key_is_refused(client: TestClient) -> None:
    client.post(EVALUATIONS, content=HOUSE, headers=JSON | KEY)

    answer = client.post(EVALUATIONS, content=described(reference="another"), headers=JSON | KEY)

    assert (answer.status_code, answer.headers["content-type"]) == (409, MEDIA_TYPE)
    assert answer.json()["type"].endswith("sent-before")
    assert recorded(client) == 1


def test_without_a_key_each_request_is_recorded(client: TestClient) -> None:
    for _ in range(2):
        client.post(EVALUATIONS, content=HOUSE, headers=JSON)

    assert recorded(client) == 2


def test_a_key_is_the_same_in_quotes_and_bare(client: TestClient) -> None:
    first, again = (client.post(EVALUATIONS, content=HOUSE, headers=JSON | {"Idempotency-Key": key}) for key in ('"k"', "k"))

    assert again.content == first.content


def test_a_refused_request_may_be_corrected_under_its_key(client: TestClient) -> None:
    refused = client.post(EVALUATIONS, content=b"{}", headers=JSON | KEY)
    corrected = client.post(EVALUATIONS, content=HOUSE, headers=JSON | KEY)

    assert (refused.status_code, corrected.status_code) == (422, 201)


def test_of_requests_at_once_one_is_recorded_and_all_get_its_answer(client: TestClient) -> None:
    with ThreadPoolExecutor(8) as threads:
        bodies = set(threads.map(lambda _: client.post(EVALUATIONS, content=HOUSE, headers=JSON | KEY).content, range(16)))

    assert len(bodies) == 1
    assert recorded(client) == 1


def test_each_tenant_has_idempotency_keys_of_its_own(bondwright: Bondwright, record_file: Path) -> None:
    ring = keyring(record_file)
    client = TestClient(create_app(bondwright, ring))
    tenants = [bearer(ring.create(tenant, {"evaluate", "read"})[0]) for tenant in (OURS, THEIRS)]

    answers = [client.post(EVALUATIONS, content=HOUSE, headers=JSON | KEY | tenant).json() for tenant in tenants]
    counts = [recorded(client, tenant) for tenant in tenants]
    ring.close()

    assert answers[0]["evaluation_id"] != answers[1]["evaluation_id"]
    assert counts == [1, 1]


@pytest.mark.parametrize("key", ["", '""', "with space", 'quote"inside', "x" * 256, '"open'])
def test_a_key_that_is_none_is_refused_at_its_place(client: TestClient, key: str) -> None:
    answer = client.post(EVALUATIONS, content=HOUSE, headers=JSON | {"Idempotency-Key": key})

    assert answer.status_code == 422
    assert [fault["pointer"] for fault in json.loads(answer.content)["errors"]] == ["/Idempotency-Key"]

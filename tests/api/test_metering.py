"""Rate limits over HTTP: told in headers, counted in prices, for each key alone."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON, OURS, bearer, described, keyring, service

from bondwright.api.app import create_app
from bondwright.api.problems import MEDIA_TYPE
from bondwright.assembly import Bondwright, Keyring
from bondwright.assembly.sharing.prices import price_of
from bondwright.rulebook.pack import PackHead
from bondwright.settings import USUAL_PRICES, Limits

LARGE = described(items=[{"kind": "tap"}] * 100)
COST = price_of(LARGE, USUAL_PRICES, lambda _: 1)
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


@pytest.mark.parametrize(("path", "form"), [(EVALUATIONS, JSON), ("/v1/batches", LINES), ("/v1/calculations/isolation-limit", JSON)])
def test_who_has_nothing_left_is_refused_before_the_body_is_looked_at(
    client: TestClient, keys: Keyring, path: str, form: dict[str, str]
) -> None:
    key = bearer(keys.create(OURS, {"evaluate"})[0])
    unreadable = "{".encode("utf-16")
    assert client.post(path, content=unreadable, headers=form | key).status_code != 429
    client.post(EVALUATIONS, content=LARGE, headers=JSON | key)

    assert client.post(path, content=unreadable, headers=form | key).status_code == 429


def test_another_key_of_the_same_tenant_is_not_held_back(client: TestClient, keys: Keyring) -> None:
    spent, fresh = (bearer(keys.create(OURS, {"evaluate"})[0]) for _ in range(2))
    for _ in range(4):
        client.post(EVALUATIONS, content=HOUSE, headers=JSON | spent)

    assert client.post(EVALUATIONS, content=HOUSE, headers=JSON | fresh).status_code == 201


def test_a_batch_counts_as_its_lines(client: TestClient, keys: Keyring) -> None:
    key = bearer(keys.create(OURS, {"evaluate"})[0])

    statuses = [client.post("/v1/batches", content=b"{}\n" * lines, headers=LINES | key).status_code for lines in (2, 1, 1)]

    assert statuses == [200, 200, 429]


def test_a_batch_costs_what_its_lines_do(client: TestClient, keys: Keyring) -> None:
    key = bearer(keys.create(OURS, {"evaluate"})[0])
    costly = LARGE.replace(b"\n", b"")

    answer = client.post("/v1/batches", content=b"\n".join([HOUSE, costly, b"{}", b"x" * 1_000_001, costly]), headers=LINES | key)

    assert (answer.status_code, answer.headers["price"]) == (200, str(1 + COST + 1 + 1 + COST))


def test_what_costs_more_than_a_whole_allowance_is_answered_and_waited_for_afterwards(client: TestClient, keys: Keyring) -> None:
    key = bearer(keys.create(OURS, {"evaluate"})[0])

    answers = [client.post(EVALUATIONS, content=body, headers=JSON | key) for body in (LARGE, HOUSE)]

    assert [answer.status_code for answer in answers] == [201, 429]
    assert (answers[0].headers["price"], answers[0].headers["ratelimit"]) == (str(COST), f'"evaluations";r=0;t={20 * COST}')
    assert 20 * (COST - 3) <= int(answers[1].headers["retry-after"]) <= 20 * (COST - 3 + 1)  # a price in 20 s


@pytest.mark.parametrize(
    ("path", "body"),
    [("/v1/calculations/isolation-reading", b'{"measured_ohm": 7000}'), (f"{EVALUATIONS}/ID/replay", None), (EVALUATIONS, None)],
)
def test_calculations_replays_and_searches_cost_too(client: TestClient, keys: Keyring, path: str, body: bytes | None) -> None:
    every = bearer(keys.create(OURS, {"evaluate", "read", "audit"})[0])
    kept = client.post(EVALUATIONS, content=HOUSE, headers=JSON | bearer(keys.create(OURS, {"evaluate"})[0])).json()["evaluation_id"]
    method = "POST" if body or "replay" in path else "GET"

    answers = [client.request(method, path.replace("ID", kept), content=body, headers=JSON | every) for _ in range(4)]

    assert [answer.status_code for answer in answers] == [200, 200, 200, 429]
    assert {answer.headers["price"] for answer in answers[:3]} == {"1"}


def test_a_replay_costs_what_the_evaluation_did(client: TestClient, keys: Keyring) -> None:
    every = [bearer(keys.create(OURS, {"evaluate", "audit"})[0]) for _ in range(2)]
    evaluated = client.post(EVALUATIONS, content=LARGE, headers=JSON | every[0])

    replayed = client.post(f"{evaluated.headers['location']}/replay", headers=every[1])

    assert evaluated.headers["price"] == replayed.headers["price"] == str(COST)


def test_reading_one_again_costs_nothing(client: TestClient, keys: Keyring) -> None:
    key = bearer(keys.create(OURS, {"evaluate", "read", "audit"})[0])
    place = client.post(EVALUATIONS, content=HOUSE, headers=JSON | key).headers["location"]

    assert {client.get(path, headers=key).status_code for path in (place, f"{place}/record") for _ in range(4)} == {200}


def test_a_description_that_costs_too_much_is_refused_and_costs_nothing(
    keys: Keyring, record_file: Path, packs: tuple[PackHead, ...]
) -> None:
    built = service(packs, record_file, limits=Limits(most_price=COST - 1))
    key = bearer(keys.create(OURS, {"evaluate"})[0])
    client = TestClient(create_app(built, keys, Limits(evaluations_per_minute=3)))

    answers = [client.post(EVALUATIONS, content=body, headers=JSON | key) for body in (LARGE, HOUSE)]
    built.close()

    assert [answer.status_code for answer in answers] == [413, 201]
    assert [fault["pointer"] for fault in answers[0].json()["errors"]] == [""]
    assert '"evaluations";r=2' in answers[1].headers["ratelimit"]


@pytest.mark.parametrize("limits", [Limits(evaluations_per_minute=0)])
def test_without_a_limit_nothing_is_told(bondwright: Bondwright, keys: Keyring, limits: Limits) -> None:
    client = TestClient(create_app(bondwright, keys, limits))
    key = bearer(keys.create(OURS, {"evaluate"})[0])

    answers = [client.post(EVALUATIONS, content=HOUSE, headers=JSON | key) for _ in range(4)]

    assert [(answer.status_code, "ratelimit" in answer.headers) for answer in answers] == [(201, False)] * 4


@pytest.mark.parametrize("path", ["/v1/rule-packs", "/v1/calculations", f"{EVALUATIONS}/none"])
def test_a_reading_tells_what_is_left_and_takes_nothing(client: TestClient, keys: Keyring, path: str) -> None:
    key = bearer(keys.create(OURS, {"evaluate", "read", "rules"})[0])
    client.post(EVALUATIONS, content=HOUSE, headers=JSON | key)

    answers = [client.get(path, headers=key) for _ in range(3)]

    assert {answer.headers["ratelimit-policy"] for answer in answers} == {'"evaluations";q=3;w=60'}
    assert {re.sub("t=.*", "", answer.headers["ratelimit"]) for answer in answers} == {'"evaluations";r=2;'}


def test_who_has_nothing_left_still_reads(client: TestClient, keys: Keyring) -> None:
    key = bearer(keys.create(OURS, {"evaluate", "rules"})[0])
    client.post(EVALUATIONS, content=LARGE, headers=JSON | key)

    answer = client.get("/v1/rule-packs", headers=key)

    assert (answer.status_code, re.sub("t=.*", "", answer.headers["ratelimit"])) == (200, '"evaluations";r=0;')


def test_who_still_has_it_is_told_what_is_left(client: TestClient, keys: Keyring) -> None:
    key = bearer(keys.create(OURS, {"rules"})[0])
    etag = client.get("/v1/rule-packs", headers=key).headers["etag"]

    answer = client.get("/v1/rule-packs", headers=key | {"if-none-match": etag})

    assert (answer.status_code, "ratelimit" in answer.headers) == (304, True)


def test_a_reading_by_nobody_in_particular_tells_no_allowance(client: TestClient) -> None:
    answers = [client.get(path) for path in ("/livez", "/v1/rule-packs")]

    assert [(answer.status_code, "ratelimit" in answer.headers) for answer in answers] == [(200, False), (401, False)]

"""Keys over HTTP: each opens its tenant's records and its scopes, nothing else; what is refused says how to do better, not why."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON, OURS, THEIRS, bearer, evaluation_in, keyring

from bondwright.access.keys import SCOPES
from bondwright.api.app import create_app
from bondwright.api.problems import MEDIA_TYPE
from bondwright.assembly import Bondwright, Keyring

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
ASKED = [
    ("POST", EVALUATIONS, "evaluate"),
    ("GET", EVALUATIONS, "read"),
    ("GET", EVALUATIONS + "/{evaluation_id}", "read"),
    ("GET", EVALUATIONS + "/{evaluation_id}/outline", "read"),
    ("GET", EVALUATIONS + "/{evaluation_id}/record", "audit"),
    ("POST", EVALUATIONS + "/{evaluation_id}/replay", "audit"),
    ("GET", "/v1/rule-packs", "rules"),
    ("GET", "/v1/rule-packs/bs7671-2018-a4-r11", "rules"),
    ("GET", "/v1/calculations", "evaluate"),
    ("POST", "/v1/calculations/main-bond-size", "evaluate"),
]


class Clock:
    """A clock that is put forward by hand."""

    now = NOW

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock() -> Clock:
    """The time of the keys."""
    return Clock()


@pytest.fixture
def keys(bondwright: Bondwright, record_file: Path, clock: Clock) -> Iterator[Keyring]:
    """The keys of the service."""
    assert bondwright
    ring = keyring(record_file, clock)
    yield ring
    ring.close()


@pytest.fixture
def client(bondwright: Bondwright, keys: Keyring) -> TestClient:
    """Asks the service, which asks for keys."""
    return TestClient(create_app(bondwright, keys), raise_server_exceptions=False)


@pytest.fixture
def ours(keys: Keyring) -> dict[str, str]:
    """A key for everything that one tenant may."""
    return bearer(keys.create(OURS, SCOPES)[0])


@pytest.fixture
def theirs(keys: Keyring) -> dict[str, str]:
    """The same of another tenant."""
    return bearer(keys.create(THEIRS, SCOPES)[0])


@pytest.mark.parametrize(("method", "path", "scope"), ASKED)
def test_without_a_key_nothing_is_answered(client: TestClient, method: str, path: str, scope: str) -> None:
    answer = client.request(method, path, content=HOUSE, headers=JSON)

    assert scope in SCOPES
    assert (answer.status_code, answer.headers["content-type"]) == (401, MEDIA_TYPE)
    assert answer.headers["www-authenticate"] == 'Bearer realm="bondwright"'


@pytest.mark.parametrize(("method", "path", "scope"), ASKED)
def test_a_key_opens_what_it_is_for_and_nothing_else(client: TestClient, keys: Keyring, method: str, path: str, scope: str) -> None:
    right, wrong = (keys.create(OURS, scopes)[0] for scopes in ({scope}, set(SCOPES) - {scope}))

    opened, refused = (client.request(method, path, content=HOUSE, headers=JSON | bearer(key)) for key in (right, wrong))

    assert opened.status_code not in (401, 403)
    assert (refused.status_code, refused.headers["content-type"]) == (403, MEDIA_TYPE)
    assert refused.headers["www-authenticate"] == f'Bearer realm="bondwright", error="insufficient_scope", scope="{scope}"'


@pytest.mark.parametrize("path", ["/livez", "/readyz", "/docs", "/openapi.json"])
def test_who_runs_the_service_needs_no_key(client: TestClient, path: str) -> None:
    assert client.get(path).status_code == 200


def test_every_operation_under_v1_needs_a_key(client: TestClient) -> None:
    operations = [
        operation | {"path": path}
        for path, methods in client.get("/openapi.json").json()["paths"].items()
        for operation in methods.values()
    ]

    assert [one["path"] for one in operations if bool(one["security"]) != one["path"].startswith("/v1/")] == []


@pytest.mark.parametrize("how", ["{key}", "Bearer {key}x", "Basic {key}", "Bearer", "Bearer {strange}"])
def test_what_is_no_key_of_ours_opens_nothing_and_is_not_repeated(client: TestClient, keys: Keyring, how: str) -> None:
    key, strange = keys.create(OURS, SCOPES)[0], "bondwright_" + "a" * 12 + "_" + "b" * 52 + "_" + "c" * 7

    answer = client.get(EVALUATIONS, headers={"Authorization": how.format(key=key, strange=strange)})

    assert answer.status_code == 401
    assert key[20:] not in answer.text


def test_tenants_never_see_each_others_records(client: TestClient, ours: dict[str, str], theirs: dict[str, str]) -> None:
    evaluation_id = client.post(EVALUATIONS, content=HOUSE, headers=JSON | ours).json()["evaluation_id"]
    of_it = [("GET", ""), ("GET", "/outline"), ("GET", "/record"), ("POST", "/replay")]

    seen = [client.request(method, f"{EVALUATIONS}/{evaluation_id}{path}", headers=ours).status_code for method, path in of_it]
    hidden = [client.request(method, f"{EVALUATIONS}/{evaluation_id}{path}", headers=theirs) for method, path in of_it]
    never_there = client.get(f"{EVALUATIONS}/00000000-0000-0000-0000-000000000000", headers=theirs)
    found = [client.get(EVALUATIONS, headers=key).json()["evaluations"] for key in (ours, theirs)]

    assert seen == [200] * 4
    assert [answer.status_code for answer in hidden] == [404] * 4
    assert hidden[0].json()["type"] == never_there.json()["type"]
    assert [len(page) for page in found] == [1, 0]


def test_a_revoked_key_opens_nothing_at_once(client: TestClient, keys: Keyring) -> None:
    text, key = keys.create(OURS, SCOPES)
    before = client.get(EVALUATIONS, headers=bearer(text)).status_code

    keys.revoke(key.key_id)

    assert (before, client.get(EVALUATIONS, headers=bearer(text)).status_code) == (200, 401)


def test_a_key_revoked_elsewhere_opens_nothing_after_seconds(client: TestClient, keys: Keyring, record_file: Path, clock: Clock) -> None:
    text, key = keys.create(OURS, SCOPES)
    statuses = [client.get(EVALUATIONS, headers=bearer(text)).status_code]
    elsewhere = keyring(record_file, clock)
    elsewhere.revoke(key.key_id)
    elsewhere.close()

    for seconds in (4, 1):
        clock.now += timedelta(seconds=seconds)
        statuses.append(client.get(EVALUATIONS, headers=bearer(text)).status_code)

    assert statuses == [200, 200, 401]


def test_an_expired_key_opens_nothing(client: TestClient, keys: Keyring, clock: Clock) -> None:
    text, _ = keys.create(OURS, SCOPES, lasts=timedelta(seconds=3))
    statuses = []

    for seconds in (0, 2, 1):
        clock.now += timedelta(seconds=seconds)
        statuses.append(client.get(EVALUATIONS, headers=bearer(text)).status_code)

    assert statuses == [200, 200, 401]


def test_a_key_that_lasts_for_no_time_opens_nothing(client: TestClient, keys: Keyring) -> None:
    text, _ = keys.create(OURS, SCOPES, lasts=timedelta(0))

    assert client.get(EVALUATIONS, headers=bearer(text)).status_code == 401


def test_a_rotated_key_is_good_until_the_overlap_ends(client: TestClient, keys: Keyring, clock: Clock) -> None:
    old, key = keys.create(OURS, SCOPES)
    new, _ = keys.rotate(key.key_id, overlap=timedelta(days=1))
    statuses = []

    for hours in (0, 23, 1):
        clock.now += timedelta(hours=hours)
        statuses.append([client.get(EVALUATIONS, headers=bearer(text)).status_code for text in (old, new)])

    assert statuses == [[200, 200], [200, 200], [401, 200]]


def test_it_is_kept_when_a_key_was_last_used(client: TestClient, keys: Keyring, record_file: Path, clock: Clock) -> None:
    text, key = keys.create(OURS, SCOPES)
    clock.now += timedelta(hours=1)
    client.get(EVALUATIONS, headers=bearer(text))
    keys.close()  # waits until the use is kept

    again = keyring(record_file)
    (kept,) = again.all_keys()
    again.close()

    assert (kept.key_id, kept.last_used_at) == (key.key_id, "2026-11-25T10:30:00.000Z")


def test_a_record_says_whose_it_is(client: TestClient, ours: dict[str, str]) -> None:
    evaluation_id = client.post(EVALUATIONS, content=HOUSE, headers=JSON | ours).json()["evaluation_id"]

    assert client.get(f"{EVALUATIONS}/{evaluation_id}/record", headers=ours).json()["tenant"] == OURS


def test_the_same_description_gives_every_tenant_the_same_evaluation(
    client: TestClient, ours: dict[str, str], theirs: dict[str, str]
) -> None:
    answers = [client.post(EVALUATIONS, content=HOUSE, headers=JSON | key).content for key in (ours, theirs)]

    assert evaluation_in(answers[0]) == evaluation_in(answers[1])

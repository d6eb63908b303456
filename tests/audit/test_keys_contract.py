"""What every store of keys promises, whatever database is behind it."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from tests.postgresql_server import PostgresqlServer

from bondwright.access.keys import Key
from bondwright.audit.keys import KeyStore
from bondwright.audit.postgresql.keys import PostgresqlKeyStore
from bondwright.audit.sqlite.keys import SqliteKeyStore
from bondwright.errors import RecordBroken, UnknownName
from bondwright.members import replace

KEY = Key("k1", "ours", frozenset({"read", "evaluate"}), "the office", "0" * 64, "2026-11-25T09:30:00.000Z")


@pytest.fixture(params=["sqlite", "postgresql"])
def keys(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[KeyStore]:
    """An empty store of each kind, as its owner opens it."""
    opened: KeyStore
    if request.param == "sqlite":
        opened = SqliteKeyStore(tmp_path / "records.sqlite")
    else:
        server: PostgresqlServer = request.getfixturevalue("server")
        opened = PostgresqlKeyStore(server.as_owner(request.getfixturevalue("database")))
    yield opened
    opened.close()


def test_a_key_is_got_back_the_same(keys: KeyStore) -> None:
    keys.add(KEY)

    assert keys.get("k1") == KEY


def test_keys_are_listed_by_tenant_and_time(keys: KeyStore) -> None:
    added = [replace(KEY, key_id=name, tenant=tenant) for name, tenant in (("k3", "b"), ("k2", "a"), ("k1", "b"))]
    for key in added:
        keys.add(key)

    assert [key.key_id for key in keys.all_keys()] == ["k2", "k1", "k3"]


def test_a_key_that_was_never_made_is_unknown(keys: KeyStore) -> None:
    for ask in (keys.get, lambda key_id: keys.revoke(key_id, "2027"), lambda key_id: keys.expire(key_id, "2027")):
        with pytest.raises(UnknownName):
            ask("none")


def test_an_id_that_is_taken_is_refused(keys: KeyStore) -> None:
    keys.add(KEY)

    with pytest.raises(RecordBroken, match="key_id is taken"):
        keys.add(replace(KEY, tenant="theirs"))

    assert keys.get("k1") == KEY


def test_the_first_revocation_stays(keys: KeyStore) -> None:
    keys.add(KEY)

    keys.revoke("k1", "2026-12-01T00:00:00.000Z")
    keys.revoke("k1", "2027-01-01T00:00:00.000Z")

    assert keys.get("k1").revoked_at == "2026-12-01T00:00:00.000Z"


def test_the_earlier_end_stays(keys: KeyStore) -> None:
    keys.add(KEY)

    for at in ("2026-12-02T00:00:00.000Z", "2026-12-01T00:00:00.000Z", "2026-12-03T00:00:00.000Z"):
        keys.expire("k1", at)

    assert keys.get("k1").expires_at == "2026-12-01T00:00:00.000Z"


def test_the_last_use_stays(keys: KeyStore) -> None:
    keys.add(KEY)

    for at in ("2026-12-02T00:00:00.000Z", "2026-12-01T00:00:00.000Z"):
        keys.used("k1", at)

    assert keys.get("k1").last_used_at == "2026-12-02T00:00:00.000Z"


def test_the_application_may_keep_when_a_key_was_used_and_no_more(server: PostgresqlServer, database: str) -> None:
    owner, service = PostgresqlKeyStore(server.as_owner(database)), PostgresqlKeyStore(database)
    owner.add(KEY)

    service.used("k1", "2026-12-02T00:00:00.000Z")
    forbidden: list[Callable[[], None]] = [
        lambda: service.revoke("k1", "2027"),
        lambda: service.expire("k1", "2027"),
        lambda: service.add(replace(KEY, key_id="k2")),
    ]
    for act in forbidden:
        with pytest.raises(RecordBroken, match="permission denied"):
            act()
    kept = service.get("k1")
    for store in (owner, service):
        store.close()

    assert kept == replace(KEY, last_used_at="2026-12-02T00:00:00.000Z")


@pytest.mark.parametrize("change", ["tenant = 'theirs'", "scopes = 'rules'", f"secret_digest = '{'1' * 64}'", "revoked_at = NULL"])
def test_what_a_key_is_for_stays_even_for_who_may_all(keys: KeyStore, change: str) -> None:
    keys.add(KEY)
    keys.revoke("k1", "2026-12-01T00:00:00.000Z")

    with pytest.raises(RecordBroken, match="stays"):
        keys._run(f"UPDATE key SET {change}")  # type: ignore[attr-defined]

"""What PostgreSQL itself refuses to whoever reaches the records by other ways than the store, and what the store refuses to work on."""

from collections.abc import Iterator

import psycopg
import pytest
from psycopg import sql
from tests.audit.builders import PACK_TEXT, new_record
from tests.audit.conftest import laid_out, template_of
from tests.postgresql_server import PostgresqlServer

from bondwright.audit.postgresql.owner import take
from bondwright.audit.postgresql.store import PostgresqlRecordStore
from bondwright.errors import RecordBroken

Raw = psycopg.Connection[tuple[object, ...]]


SETTINGS = "-c search_path=bondwright -c bondwright.tenant=ours"


@pytest.fixture(scope="module")
def kept(server: PostgresqlServer, template: str) -> str:
    """The address of a database with a record of each of two tenants, for the application; one for all tests, which change nothing."""
    database = laid_out(server, template)
    store = PostgresqlRecordStore(database)
    for tenant in ("ours", "theirs"):
        store.append(new_record(f"e-{tenant}", tenant=tenant), PACK_TEXT)
    store.close()
    return database


@pytest.fixture
def raw(kept: str) -> Iterator[Raw]:
    """A connection with what the application may, bound to the tenant `ours`."""
    with psycopg.connect(kept, autocommit=True, options=SETTINGS) as connection:
        yield connection


@pytest.fixture
def owner(kept: str, server: PostgresqlServer) -> Iterator[Raw]:
    """A connection with what the owner may, who here is even a superuser, bound to the tenant `ours`."""
    with psycopg.connect(server.as_owner(kept), autocommit=True, options=SETTINGS) as connection:
        yield connection


TABLES = ("pack", "record", "summary", "rests_on_rule", "rests_on_clause", "has_level")
CHANGES = ["UPDATE {} SET {column} = {column}", "DELETE FROM {}", "TRUNCATE {} CASCADE"]


@pytest.mark.parametrize("table", TABLES)
@pytest.mark.parametrize(
    "act", ["UPDATE {} SET {column} = {column}", "DELETE FROM {}", "TRUNCATE {}", "ALTER TABLE {} DISABLE TRIGGER ALL"]
)
def test_the_application_can_change_and_remove_nothing(raw: Raw, table: str, act: str) -> None:
    with pytest.raises(psycopg.errors.InsufficientPrivilege):
        raw.execute(_filled(act, table))


@pytest.mark.parametrize("table", TABLES)
@pytest.mark.parametrize("act", CHANGES)
def test_even_the_owner_changes_and_removes_nothing_by_mistake(owner: Raw, table: str, act: str) -> None:
    with pytest.raises(psycopg.IntegrityError, match="what is recorded stays as it is"):
        owner.execute(_filled(act, table))


@pytest.mark.parametrize("table", [table for table in TABLES if table != "pack"])
@pytest.mark.parametrize("act", ["ALTER TABLE {} DISABLE ROW LEVEL SECURITY", "DROP POLICY of_one_tenant ON {}", "DROP TABLE {}"])
def test_the_application_cannot_take_the_walls_down(raw: Raw, table: str, act: str) -> None:
    with pytest.raises(psycopg.errors.InsufficientPrivilege):
        raw.execute(_filled(act, table))


def test_one_tenants_records_are_seen_and_no_others(raw: Raw) -> None:
    seen = raw.execute("SELECT (SELECT array_agg(tenant) FROM record), (SELECT array_agg(tenant) FROM summary)").fetchone()

    assert seen == (["ours"], ["ours"])


@pytest.mark.parametrize("table", [table for table in TABLES if table != "pack"])
def test_who_names_no_tenant_sees_nothing(raw: Raw, table: str) -> None:
    raw.execute("RESET bondwright.tenant")
    raw.execute("SET bondwright.tenant = ''")

    assert raw.execute(_filled("SELECT count(*) FROM {}", table)).fetchone() == (0,)


@pytest.mark.parametrize(
    "statement",
    [
        "INSERT INTO summary SELECT 'theirs', 2, 'e2', recorded_at, reference, pack_id, day FROM summary",
        "INSERT INTO rests_on_rule VALUES ('theirs', 'r', 'p', 1)",
        "INSERT INTO record SELECT 'e2', 'theirs', 1, recorded_at, pack_id, pack_digest, versions, evaluation_digest, salt, input_bytes, "
        "evaluation_bytes FROM record",
    ],
)
def test_nothing_is_added_for_another_tenant(raw: Raw, statement: str) -> None:
    with pytest.raises(psycopg.Error, match=r"row-level security|summary"):
        raw.execute(statement)


@pytest.mark.parametrize(
    ("statement", "why"),
    [
        ("INSERT INTO summary SELECT tenant, 2, 'e2', recorded_at, reference, pack_id, day FROM summary", "foreign key"),
        ("INSERT INTO summary SELECT * FROM summary", "duplicate key"),
        ("INSERT INTO rests_on_rule VALUES ('ours', 'r', 'p', 1)", "the record is kept"),
        ("INSERT INTO rests_on_clause VALUES ('ours', '1', 2)", "the record is kept"),
        ("INSERT INTO has_level VALUES ('ours', 'o', 'l', 2)", "the record is kept"),
    ],
)
def test_what_a_record_is_found_by_comes_with_it_or_not_at_all(raw: Raw, statement: str, why: str) -> None:
    with pytest.raises(psycopg.IntegrityError, match=why):
        raw.execute(statement)


def test_a_record_comes_with_a_summary_and_the_next_counter(raw: Raw) -> None:
    columns = "recorded_at, pack_id, pack_digest, versions, evaluation_digest, salt, input_bytes, evaluation_bytes"
    insert = sql.SQL("INSERT INTO record SELECT 'e2', tenant, {}, " + columns + " FROM record")

    for counter, why in ((2, "the record has no summary"), (3, "the counter does not follow")):
        with pytest.raises(psycopg.IntegrityError, match=why):
            raw.execute(insert.format(counter))


def test_a_reader_reads_and_adds_nothing(owner: Raw) -> None:
    owner.execute("SET ROLE bondwright_reader")

    assert owner.execute("SELECT evaluation_id FROM record").fetchall() == [("e-ours",)]
    with pytest.raises(psycopg.errors.InsufficientPrivilege):
        owner.execute("INSERT INTO pack SELECT * FROM pack")


@pytest.mark.parametrize(
    ("before", "user", "why"),
    [
        ("SELECT 1", "{owner}", "may do more"),
        ("ALTER ROLE {user} BYPASSRLS", "{user}", "may do more"),
        ("GRANT UPDATE ON bondwright.summary TO {user}", "{user}", "may do more"),
        ("ALTER TABLE bondwright.record NO FORCE ROW LEVEL SECURITY", "{user}", "not kept apart"),
        ("ALTER TABLE bondwright.has_level DISABLE ROW LEVEL SECURITY", "{user}", "not kept apart"),
        ("ALTER TABLE bondwright.record DISABLE TRIGGER record_stays", "{user}", "not append-only"),
        ("DROP TRIGGER has_level_is_open ON bondwright.has_level", "{user}", "not append-only"),
        ("UPDATE bondwright.alembic_version SET version_num = '0001'", "{user}", "stands at step 0001"),
        ("DROP SCHEMA bondwright CASCADE", "{user}", "not laid out"),
        ("REVOKE bondwright_application FROM {user}", "{user}", "may not"),
    ],
)
def test_a_database_that_would_allow_more_is_refused(server: PostgresqlServer, before: str, user: str, why: str) -> None:
    database = server.new_database()
    take(database)
    name = server.new_user(database)
    with psycopg.connect(database, autocommit=True) as connection:
        connection.execute(sql.SQL(before.format(user=name)))

    with pytest.raises(RecordBroken, match=why):
        PostgresqlRecordStore(database if user == "{owner}" else server.as_user(database, name))


@pytest.mark.parametrize("setting", ["fsync", "full_page_writes"])
def test_a_server_that_would_lose_records_is_refused(setting: str) -> None:
    unsafe = PostgresqlServer(f"{setting}=off")

    try:
        with pytest.raises(RecordBroken, match=f"not durable: {setting} is off"):
            PostgresqlRecordStore(laid_out(unsafe, template_of(unsafe)))
    finally:
        unsafe.remove()


def test_commits_wait_for_the_disk_whatever_the_address_says(kept: str) -> None:
    store = PostgresqlRecordStore(f"{kept}&options=-c%20synchronous_commit%3Doff")

    said = store._batches._connection.execute("SHOW synchronous_commit").fetchone()
    store.close()

    assert said == ("on",)


def test_a_database_that_cannot_hold_every_text_is_refused(server: PostgresqlServer) -> None:
    database = server.new_database("ENCODING 'SQL_ASCII' TEMPLATE template0")
    take(database)

    with pytest.raises(RecordBroken, match="encoding is SQL_ASCII"):
        PostgresqlRecordStore(server.as_user(database, server.new_user(database)))


def test_a_server_that_is_not_there_is_refused_without_its_address_being_told() -> None:
    with pytest.raises(RecordBroken) as caught:
        PostgresqlRecordStore("postgresql://someone:secret@/there?host=/nowhere", patience_s=0.1)

    assert ("cannot be used" in str(caught.value), "secret" in str(caught.value)) == (True, False)


def _filled(statement: str, table: str) -> sql.Composed:
    column = "digest" if table == "pack" else "tenant"
    return sql.SQL(statement.replace("{column}", column)).format(sql.Identifier(table))

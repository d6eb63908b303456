"""Both databases are taken up and down their steps with records inside, and nothing is lost on the way."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import psycopg
import pytest
from tests.audit.builders import PACK_TEXT, digest, evaluation, new_record
from tests.postgresql_server import PostgresqlServer

from bondwright.audit.postgresql import connection as postgresql
from bondwright.audit.postgresql import owner
from bondwright.audit.postgresql.store import PostgresqlRecordStore
from bondwright.audit.record import Record, RecordStore, Search, Summary
from bondwright.audit.sqlite import owner as file_owner
from bondwright.audit.sqlite.file import SCHEMA_VERSION
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.audit.steps.statements import NOTHING, known_steps
from bondwright.errors import RecordBroken

LAST = known_steps()[-1]
WANTED = [Search(rule="r1"), Search(clause="1.1"), Search(level=("main", "bond")), Search(reference="ours"), Search(recorded_from="2026")]


@dataclass(frozen=True)
class Database:
    """A database of one kind. `take` brings it to a step; `at` says where it stands; `look` reads its tables with SQL."""

    opened: Callable[[], RecordStore]
    take: Callable[[str], object]
    at: Callable[[], str | None]
    look: Callable[[str], list[tuple[object, ...]]]


@pytest.fixture(params=["sqlite", "postgresql"])
def database(request: pytest.FixtureRequest, tmp_path: Path) -> Database:
    """A new database of each kind; that of PostgreSQL belongs to an owner who may only what owners must."""
    if request.param == "sqlite":
        path = tmp_path / "records.sqlite"
        return Database(
            partial(SqliteRecordStore, path),
            partial(file_owner.take, path),
            partial(file_owner.step_of, path),
            partial(_looked, path),
        )
    server: PostgresqlServer = request.getfixturevalue("server")
    owned = server.new_owned_database()
    service: list[str] = []

    def opened() -> RecordStore:
        service.extend([] if service else [server.as_user(owned, server.new_user(server.as_owner(owned)))])
        return PostgresqlRecordStore(service[0])

    return Database(opened, partial(owner.take, owned), partial(owner.step_of, owned), partial(_asked, server.as_owner(owned)))


@pytest.fixture
def filled(database: Database) -> Database:
    """The database at its last step, with records of two tenants."""
    database.take(LAST)
    with closing(database.opened()) as store:
        for n, rule in enumerate(("r1", "r2", "r1")):
            store.append(new_record(f"e{n}", evaluation_bytes=evaluation("ours", rule, "1.1", ("main", "bond"))), PACK_TEXT)
        store.append(new_record("f", tenant="theirs", evaluation_bytes=evaluation("theirs", "r1")), PACK_TEXT)
    return database


def contents(database: Database) -> tuple[list[tuple[Record, ...]], list[tuple[Summary, ...]]]:
    """Every record of both tenants, and what is found of them."""
    with closing(database.opened()) as store:
        records = [store.page(tenant, None, 10) for tenant in ("local", "theirs")]
        return records, [store.find(tenant, wanted, None, 10) for tenant in ("local", "theirs") for wanted in WANTED]


def test_the_steps_are_numbered_without_a_gap_and_the_service_works_at_the_last() -> None:
    assert known_steps() == tuple(f"{number:04}" for number in range(1, len(known_steps()) + 1))
    assert (postgresql.LATEST_STEP, f"{SCHEMA_VERSION:04}") == (LAST, LAST)


def test_an_empty_database_goes_up_down_and_up(database: Database) -> None:
    stood = []
    for to in (LAST, NOTHING, *known_steps(), *reversed(known_steps()), NOTHING, LAST):
        database.take(to)
        stood.append(database.at() or NOTHING)

    assert stood == [LAST, NOTHING, *known_steps(), *reversed(known_steps()), NOTHING, LAST]
    assert contents(database)[0] == [(), ()]


@pytest.mark.parametrize("down_to", known_steps()[:-1])
def test_records_stay_the_same_through_every_step_down_and_up_again(filled: Database, down_to: str) -> None:
    before = contents(filled)

    filled.take(down_to)
    kept = filled.look("SELECT tenant, counter FROM record ORDER BY tenant, counter")
    filled.take(LAST)

    assert kept == [("local", 1), ("local", 2), ("local", 3), ("theirs", 1)]
    assert contents(filled) == before
    assert len(before[1][0]) == 2


def test_records_are_added_after_steps_down_and_up(filled: Database) -> None:
    filled.take(known_steps()[0])
    filled.take(LAST)

    with closing(filled.opened()) as store:
        counter = store.append(new_record("later", evaluation_bytes=evaluation(rule="r1")), PACK_TEXT).counter
        ids = [summary.evaluation_id for summary in store.find("local", Search(rule="r1"), None, 10)]

    assert (counter, ids) == (4, ["e0", "e2", "later"])


def test_what_keeps_records_is_not_taken_down_to_nothing(filled: Database) -> None:
    before = contents(filled)

    with pytest.raises(RecordBroken, match="export them first"):
        filled.take(NOTHING)

    assert (filled.at(), contents(filled)) == (LAST, before)


def test_a_step_that_does_not_exist_is_refused(filled: Database) -> None:
    with pytest.raises(RecordBroken, match=f"no step 9999; there are 0001 to {LAST}, and base"):
        filled.take("9999")

    assert filled.at() == LAST


def test_a_damaged_record_stops_the_step_and_leaves_everything_as_it_was(server: PostgresqlServer) -> None:
    address = server.new_database()
    owner.take(address, "0001")
    with psycopg.connect(address, autocommit=True, options="-c search_path=bondwright") as connection:
        connection.execute("INSERT INTO pack VALUES ('p', %s, '', 'text')", (digest(b"text"),))
        row = ("e1", "local", 1, "2026-11-25T09:30:00.000Z", "p", digest(b"text"), "{}", digest(b"other bytes"), bytes(16), b"{}", b"{}")
        connection.execute(f"INSERT INTO record VALUES ({', '.join(['%s'] * len(row))})", row)

    with pytest.raises(RecordBroken, match="evaluation e1"):
        owner.take(address)

    assert owner.step_of(address) == "0001"


def test_two_owners_at_once_take_each_step_once(server: PostgresqlServer) -> None:
    address = server.new_database()

    assert (owner.take(address), owner.take(address)) == ((None, LAST), (LAST, LAST))


@pytest.mark.parametrize("step", known_steps())
def test_a_fresh_file_is_laid_out_as_the_steps_would_lay_it_out(step: str, tmp_path: Path) -> None:
    fresh, stepped = tmp_path / "fresh.sqlite", tmp_path / "stepped.sqlite"
    file_owner.take(fresh, step)
    file_owner.take(stepped, known_steps()[0])
    file_owner.take(stepped, NOTHING)

    file_owner.take(stepped, step)

    assert _layout(fresh) == _layout(stepped)
    assert _looked(fresh, "SELECT count(*) FROM sqlite_schema") > [(5,)]


def _layout(path: Path) -> list[list[tuple[object, ...]]]:
    """All that a file says of how it is laid out."""
    asked = ("SELECT type, name, tbl_name, sql FROM sqlite_schema ORDER BY type, name", "SELECT * FROM alembic_version")
    return [_looked(path, sql) for sql in (*asked, *(f"PRAGMA {name}" for name in ("user_version", "application_id", "page_size")))]


def _looked(path: Path, query: str) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute(query).fetchall()


def _asked(address: str, query: str) -> list[tuple[object, ...]]:
    with psycopg.connect(address, options="-c search_path=bondwright") as connection:
        return connection.execute(query).fetchall()

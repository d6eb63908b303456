"""The SQLite file itself: append-only against raw SQL, private, refused when it is not ours, shared between stores."""

import asyncio
import sqlite3
import stat
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from tests.audit.builders import PACK_TEXT, new_record

from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.errors import RecordBroken


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where the file is made; its folder is not there yet."""
    return tmp_path / "state" / "records.sqlite"


@pytest.fixture
def raw(path: Path) -> Iterator[sqlite3.Connection]:
    """A connection of a stranger, with SQLite's own defaults, to a file of two records."""
    store = SqliteRecordStore(path)
    for evaluation_id in ("e1", "e2"):
        store.append(new_record(evaluation_id), PACK_TEXT)
    store.close()
    connection = sqlite3.connect(path, isolation_level=None)
    yield connection
    connection.close()


def _copy_of_the_first(columns: str, values: str) -> str:
    """The end of an INSERT: a row like record 1, but with other `values` in `columns`, and other evaluation bytes."""
    alike = "recorded_at, pack_id, pack_digest, versions, evaluation_digest, salt, input_bytes"
    return f"INTO record ({columns}, {alike}, evaluation_bytes) SELECT {values}, {alike}, x'00' FROM record WHERE counter = 1"


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE record SET input_bytes = x'00' WHERE evaluation_id = 'e1'",
        "UPDATE OR REPLACE record SET evaluation_id = 'e2' WHERE evaluation_id = 'e1'",
        "DELETE FROM record WHERE evaluation_id = 'e1'",
        "DELETE FROM record",
        "INSERT OR REPLACE " + _copy_of_the_first("evaluation_id, tenant, counter", "'e1', 'local', 3"),
        "INSERT OR REPLACE " + _copy_of_the_first("evaluation_id, tenant, counter", "'e3', 'local', 1"),
        "INSERT OR REPLACE " + _copy_of_the_first("rowid, evaluation_id, tenant, counter", "1, 'e3', 'local', 3"),
        "INSERT " + _copy_of_the_first("evaluation_id, tenant, counter", "'e4', 'local', 4"),
        "UPDATE pack SET text = x'00'",
        "DELETE FROM pack",
        "INSERT OR REPLACE INTO pack SELECT pack_id, digest, first_used_at, x'00' FROM pack",
        "INSERT OR REPLACE INTO pack SELECT 'other', digest, first_used_at, x'00' FROM pack",
        "INSERT OR REPLACE INTO pack (rowid, pack_id, digest, first_used_at, text) "
        "SELECT rowid, 'other', replace(digest, 'a', 'b'), first_used_at, x'00' FROM pack",
    ],
)
def test_raw_sql_cannot_change_what_is_recorded(raw: sqlite3.Connection, statement: str) -> None:
    raw.execute("DROP TRIGGER record_has_a_summary")  # which would refuse most of these for another reason
    before = _everything(raw)

    with pytest.raises(sqlite3.IntegrityError):
        raw.execute(statement)

    assert _everything(raw) == before


def test_raw_sql_may_append_what_follows(raw: sqlite3.Connection) -> None:
    raw.execute("BEGIN")
    raw.execute("INSERT INTO summary SELECT tenant, 3, 'e3', recorded_at, reference, pack_id, day FROM summary WHERE counter = 1")
    raw.execute("INSERT " + _copy_of_the_first("evaluation_id, tenant, counter", "'e3', 'local', 3"))
    raw.execute("COMMIT")

    assert raw.execute("SELECT count(*) FROM record").fetchone() == (3,)


def test_a_reopened_store_shows_everything(path: Path) -> None:
    first = SqliteRecordStore(path)
    kept = tuple(first.append(new_record(f"e{n}"), PACK_TEXT) for n in range(3))
    first.close()

    second = SqliteRecordStore(path)
    page, pack = second.page("local", None, 10), second.pack("tests-2026-r1")
    second.close()

    assert (page, pack.text) == (kept, PACK_TEXT)


def test_a_reopened_store_counts_on(raw: sqlite3.Connection, path: Path) -> None:
    raw.close()
    store = SqliteRecordStore(path)

    kept = store.append(new_record("e3"), PACK_TEXT)
    store.close()

    assert kept.counter == 3


def test_two_stores_on_one_file_count_without_a_gap(path: Path) -> None:
    stores = (SqliteRecordStore(path), SqliteRecordStore(path))

    def append(n: int) -> int:
        return stores[n % 2].append(new_record(f"e{n}"), PACK_TEXT).counter

    with ThreadPoolExecutor(8) as threads:
        counters = list(threads.map(append, range(200)))
    for store in stores:
        store.close()

    assert sorted(counters) == list(range(1, 201))


@pytest.mark.parametrize("column, value", [("evaluation_bytes", b"{}"), ("evaluation_digest", "0" * 64), ("versions", "{")])
def test_a_tampered_record_is_found_when_it_is_read(path: Path, column: str, value: object) -> None:
    store = SqliteRecordStore(path)
    store.append(new_record("e1"), PACK_TEXT)
    _tamper(path, "record", column, value)

    with pytest.raises(RecordBroken, match="e1"):
        store.get("local", "e1")
    with pytest.raises(RecordBroken, match="e1"):
        store.page("local", None, 10)
    store.close()


def test_a_tampered_pack_is_found_when_it_is_read(path: Path) -> None:
    store = SqliteRecordStore(path)
    store.append(new_record("e1"), PACK_TEXT)
    _tamper(path, "pack", "text", b"edited")

    with pytest.raises(RecordBroken, match="tests-2026-r1"):
        store.pack("tests-2026-r1")
    store.close()


def test_a_file_whose_triggers_were_dropped_is_refused(raw: sqlite3.Connection, path: Path) -> None:
    raw.execute("DROP TRIGGER record_never_update")

    with pytest.raises(RecordBroken, match="append-only"):
        SqliteRecordStore(path)


@pytest.mark.parametrize("pragma, words", [("application_id = 7", "another application"), ("user_version = 7", "version 7")])
def test_a_file_marked_as_something_else_is_refused(raw: sqlite3.Connection, path: Path, pragma: str, words: str) -> None:
    raw.execute(f"PRAGMA {pragma}")

    with pytest.raises(RecordBroken, match=words):
        SqliteRecordStore(path)


def test_a_refused_database_is_left_as_it_was(tmp_path: Path) -> None:
    foreign = tmp_path / "foreign.sqlite"
    with sqlite3.connect(foreign) as connection:
        connection.execute("CREATE TABLE theirs (x)")
    connection.close()
    before = foreign.read_bytes()

    with pytest.raises(RecordBroken, match="another application"):
        SqliteRecordStore(foreign)

    assert foreign.read_bytes() == before


def test_a_file_that_is_no_database_is_refused(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_bytes(b"not a database, and long enough to be looked at as if it were one" * 20)

    with pytest.raises(RecordBroken, match="not a database"):
        SqliteRecordStore(tmp_path / "notes.txt")


def test_a_file_that_cannot_be_made_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").touch()

    with pytest.raises(RecordBroken, match="cannot be opened"):
        SqliteRecordStore(tmp_path / "file" / "records.sqlite")


def test_the_file_and_its_folder_are_private(path: Path) -> None:
    store = SqliteRecordStore(path)
    store.append(new_record("e1"), PACK_TEXT)

    modes = {stat.S_IMODE(file.stat().st_mode) for file in path.parent.iterdir()}
    folder = stat.S_IMODE(path.parent.stat().st_mode)
    store.close()

    assert (modes, folder) == ({0o600}, 0o700)


def test_two_hundred_waiting_records_take_few_commits(path: Path) -> None:
    store = SqliteRecordStore(path)

    async def append_all() -> None:
        await asyncio.gather(*(store.append_soon(new_record(f"e{n}"), PACK_TEXT) for n in range(200)))

    asyncio.run(append_all())
    commits = store.writing.commits
    store.close()

    assert commits <= 40


def _everything(connection: sqlite3.Connection) -> list[list[object]]:
    return [connection.execute(f"SELECT rowid, * FROM {table} ORDER BY rowid").fetchall() for table in ("record", "pack")]


def _tamper(path: Path, table: str, column: str, value: object) -> None:
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute(f"DROP TRIGGER {table}_never_update")
    connection.execute(f"UPDATE {table} SET {column} = ?", (value,))
    connection.close()

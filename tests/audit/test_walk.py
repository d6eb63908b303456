"""A walk over all records leaves none out, whatever became of it."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from tests.audit.builders import PACK_TEXT, digest, new_record

from bondwright.audit.record import RecordStore
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.audit.walk import PAGE, Unreadable, last_counter, walked
from bondwright.errors import RecordBroken


def seen(store: RecordStore, after: int = 0) -> list[int | tuple[int, str]]:
    """The counter of each record, and with its id where it could not be read."""
    return [(one.counter, one.evaluation_id) if isinstance(one, Unreadable) else one.counter for one in walked(store, "local", after)]


@pytest.mark.parametrize("count", [0, 1, PAGE, PAGE + 1])
def test_every_record_is_met_once_in_order(store: RecordStore, count: int) -> None:
    for number in range(count):
        store.append(new_record(str(number)), PACK_TEXT)

    assert seen(store) == list(range(1, count + 1))
    assert count == last_counter(store, "local")


def test_a_walk_goes_on_after_a_counter(store: RecordStore) -> None:
    for name in "abc":
        store.append(new_record(name), PACK_TEXT)

    assert seen(store, after=1) == [2, 3]


def test_the_records_of_others_are_not_met(store: RecordStore) -> None:
    for name in "abc":
        store.append(new_record(name, tenant="theirs"), PACK_TEXT)

    assert (seen(store), last_counter(store, "local")) == ([], 0)


@pytest.fixture
def forged(tmp_path: Path) -> Iterator[tuple[SqliteRecordStore, sqlite3.Connection]]:
    """A store of four records, and a stranger's connection to it that no trigger and no key holds back."""
    store = SqliteRecordStore(tmp_path / "records.sqlite")
    for name in "abcd":
        store.append(new_record(name), PACK_TEXT)
    with closing(store), closing(sqlite3.connect(tmp_path / "records.sqlite", isolation_level=None)) as stranger:
        for (name,) in stranger.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall():
            stranger.execute(f"DROP TRIGGER {name}")
        yield store, stranger


@pytest.mark.parametrize(
    ("statements", "met"),
    [
        ([f"UPDATE record SET evaluation_digest = '{digest(b'other')}' WHERE counter = 2"], [1, (2, "b"), 3, 4]),
        (["UPDATE record SET versions = 'no JSON' WHERE counter IN (1, 4)"], [(1, "a"), 2, 3, (4, "d")]),
        (["DELETE FROM record WHERE counter = 2"], [1, (2, "b"), 3, 4]),
        (["DELETE FROM record WHERE counter IN (2, 3)", "DELETE FROM summary WHERE counter = 2"], [1, (3, "c"), 4]),
        (["DELETE FROM record WHERE counter = 2", "DELETE FROM summary WHERE counter = 2"], [1, (2, ""), 3, 4]),
        (["DELETE FROM record WHERE counter > 1", "DELETE FROM summary WHERE counter IN (2, 3)"], [1, (4, "d")]),
        (["DELETE FROM record WHERE counter = 4"], [1, 2, 3, (4, "d")]),
        (["DELETE FROM summary WHERE counter IN (1, 4)"], [1, 2, 3, 4]),
    ],
)
def test_what_cannot_be_read_is_met_too(
    forged: tuple[SqliteRecordStore, sqlite3.Connection], statements: list[str], met: list[object]
) -> None:
    store, stranger = forged
    for statement in statements:
        stranger.execute(statement)

    assert met == seen(store)


def test_a_store_that_cannot_be_read_at_all_ends_the_walk(forged: tuple[SqliteRecordStore, sqlite3.Connection]) -> None:
    store, stranger = forged
    stranger.execute("DROP TABLE summary")

    with pytest.raises(RecordBroken, match="cannot be read"):
        seen(store)

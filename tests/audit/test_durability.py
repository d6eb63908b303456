"""What is acknowledged is kept: through a kill, and never when the disk refuses.

A kill cannot tell a synced write from one in the system's cache, so the settings that tell them apart are asserted too.
"""

import resource
import signal
import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from tests.audit.builders import PACK_TEXT, new_record
from tests.forked import Forked

from bondwright.audit.sqlite.file import demand_durable
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.errors import RecordBroken


def test_every_acknowledged_record_is_there_after_a_kill(tmp_path: Path) -> None:
    acknowledged: list[str] = []

    for _ in range(3):
        acknowledged += _acknowledged_before_a_kill(tmp_path / "records.sqlite", at_least=200)
    store = SqliteRecordStore(tmp_path / "records.sqlite")
    kept = {record.evaluation_id: record.counter for record in store.page("local", None, 1_000_000)}
    store.close()

    assert len(acknowledged) >= 600
    assert set(acknowledged) <= set(kept)
    assert list(kept.values()) == list(range(1, len(kept) + 1))


def test_a_record_that_a_limit_on_files_refuses_is_not_kept_and_later_ones_are(tmp_path: Path) -> None:
    store = SqliteRecordStore(tmp_path / "records.sqlite")
    store.append(new_record("before"), PACK_TEXT)

    with _no_file_grows_above(256 * 1024), pytest.raises(RecordBroken, match="not recorded"):
        store.append(new_record("during", input_bytes=bytes(2_000_000)), PACK_TEXT)
    store.append(new_record("after"), PACK_TEXT)
    store.close()

    assert _ids_in(tmp_path / "records.sqlite") == ["before", "after"]


def test_a_store_whose_file_may_not_grow_is_not_ready_until_it_may(tmp_path: Path) -> None:
    store = SqliteRecordStore(tmp_path / "records.sqlite")

    with _no_file_grows_above(256 * 1024):
        with pytest.raises(RecordBroken):
            store.append(new_record("during", input_bytes=bytes(2_000_000)), PACK_TEXT)
        with pytest.raises(RecordBroken):
            store.check()
    store.check()
    store.close()


def test_a_check_finds_that_the_log_cannot_grow(tmp_path: Path) -> None:
    store = SqliteRecordStore(tmp_path / "records.sqlite")

    with _no_file_grows_above((tmp_path / "records.sqlite-wal").stat().st_size), pytest.raises(RecordBroken):
        store.check()
    store.close()


def test_a_file_that_another_process_is_writing_is_not_ready(tmp_path: Path) -> None:
    store = SqliteRecordStore(tmp_path / "records.sqlite", patience_s=0)

    with _writing(tmp_path / "records.sqlite"), pytest.raises(RecordBroken, match="locked"):
        store.check()
    store.close()


def test_a_file_that_another_process_has_written_is_appended_to_again(tmp_path: Path) -> None:
    store = SqliteRecordStore(tmp_path / "records.sqlite", patience_s=0)
    with _writing(tmp_path / "records.sqlite"), pytest.raises(RecordBroken):
        store.append(new_record("e1"), PACK_TEXT)

    kept = store.append(new_record("e1"), PACK_TEXT)
    store.close()

    assert kept.counter == 1


@pytest.mark.parametrize("setting", ["synchronous = NORMAL", "synchronous = OFF", "foreign_keys = OFF", "recursive_triggers = OFF"])
def test_a_connection_that_is_less_than_durable_is_refused(tmp_path: Path, setting: str) -> None:
    SqliteRecordStore(tmp_path / "records.sqlite").close()
    connection = sqlite3.connect(tmp_path / "records.sqlite")
    for pragma in ("synchronous = FULL", "foreign_keys = ON", "recursive_triggers = ON"):
        connection.execute(f"PRAGMA {pragma}")
    demand_durable(connection)
    connection.execute(f"PRAGMA {setting}")

    with pytest.raises(RecordBroken, match="not durable"):
        demand_durable(connection)
    connection.close()


def test_a_database_without_a_write_ahead_log_is_refused() -> None:
    connection = sqlite3.connect(":memory:")

    with pytest.raises(RecordBroken, match="journal_mode is memory"):
        demand_durable(connection)
    connection.close()


def _acknowledged_before_a_kill(path: Path, at_least: int) -> list[str]:
    with Forked([Path(__file__).with_name("append_until_killed.py"), path], stdout=subprocess.PIPE) as child:
        assert child.stdout is not None
        lines = [child.stdout.readline() for _ in range(at_least)]
        child.send_signal(signal.SIGKILL)
        lines += child.stdout.readlines()
    return [line.decode().strip() for line in lines if line.endswith(b"\n")]


@contextmanager
def _no_file_grows_above(size: int) -> Iterator[None]:
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


@contextmanager
def _writing(path: Path) -> Iterator[None]:
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    try:
        yield
    finally:
        other.close()


def _ids_in(path: Path) -> list[str]:
    store = SqliteRecordStore(path)
    ids = [record.evaluation_id for record in store.page("local", None, 100)]
    store.close()
    return ids

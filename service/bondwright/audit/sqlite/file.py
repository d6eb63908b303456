"""The SQLite file: brought up to the last step, and what is demanded of it at opening."""

import os
import sqlite3
from pathlib import Path

from bondwright.audit.steps.statements import triggers_of
from bondwright.errors import RecordBroken

APPLICATION_ID = int.from_bytes(b"Bond", "big")
"""Marks a SQLite file as ours (bytes 68 to 71 of the file)."""

SCHEMA_VERSION = 2
"""The number of the last step, kept in the file's `user_version`; an older file is brought up, any other is refused."""

# What each connection must say of itself: pragma, value asked for, value read back.
_SETTINGS = (
    ("journal_mode", "WAL", "wal"),
    ("synchronous", "FULL", 2),
    ("foreign_keys", "ON", 1),
    ("recursive_triggers", "ON", 1),
)


def open_file(path: Path, patience_s: float) -> sqlite3.Connection:
    """A connection to the record file, made with its folder, both private, if it is not there.

    `patience_s`: how long to wait, in seconds, for another process that is writing. The connection may be handed between threads.
    Raises: RecordBroken, if it is not ours, cannot be opened, or cannot keep what is written through a power cut.
    """
    try:
        _make_private(path)
        connection = sqlite3.connect(path, timeout=patience_s, isolation_level=None, check_same_thread=False)
    except (OSError, sqlite3.Error) as error:
        raise RecordBroken(f"the record file cannot be opened: {error}") from error
    try:
        _make_ready(connection)
        demand_durable(connection)
        _demand_ours(connection)
    except sqlite3.Error as error:
        connection.close()
        raise RecordBroken(f"the record file cannot be used: {error}") from error
    except RecordBroken:
        connection.close()
        raise
    return connection


def demand_durable(connection: sqlite3.Connection) -> None:
    """Nothing, if this connection's commits survive a power cut and its keys are enforced. Raises: RecordBroken."""
    for pragma, asked, wanted in _SETTINGS:
        if (found := _read(connection, pragma)) != wanted:
            raise RecordBroken(f"the record file is not durable: {pragma} is {found}, would have to be {asked}")


def _make_private(path: Path) -> None:
    missing = [folder for folder in (path.parent, *path.parent.parents) if not folder.exists()]
    for folder in reversed(missing):
        folder.mkdir(mode=0o700, exist_ok=True)
        _sync_folder(folder.parent)
    # SQLite gives its -wal and -shm files the permissions of the file itself, and syncs this folder with the first commit.
    os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))


def _sync_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _make_ready(connection: sqlite3.Connection) -> None:
    is_new = _is_empty(connection)
    if not is_new:
        _demand_ours(connection)
    # 16 kB pages: 28,500 against 22,000 records/s with 4 kB (64 waiters, 8 kB records, measured 2026-11).
    connection.execute("PRAGMA page_size = 16384")
    # Each mark goes into a page of its own kind: with the usual 2 MB those pages are written again and again within one transaction.
    connection.execute("PRAGMA cache_size = -65536")
    for pragma, asked, _ in _SETTINGS:
        connection.execute(f"PRAGMA {pragma} = {asked}")
    if _read(connection, "user_version") != SCHEMA_VERSION:
        demand_durable(connection)
        _bring_up(connection)


def _is_empty(connection: sqlite3.Connection) -> bool:
    (things,) = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()
    return things == 0 and _read(connection, "application_id") == 0 and _read(connection, "user_version") == 0


def _bring_up(connection: sqlite3.Connection) -> None:
    # Loaded here only: it takes longer than opening the file, and most files are up to date.
    from bondwright.audit.steps.running import take_steps

    connection.execute("BEGIN IMMEDIATE")
    try:
        # Another process may have brought it up while this one waited.
        if (at := _read(connection, "user_version")) != SCHEMA_VERSION:
            take_steps("sqlite", connection, _step(SCHEMA_VERSION), at=_step(at) if at else None)
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise
    connection.execute("COMMIT")


def _step(version: object) -> str:
    return f"{version:04}"


def _demand_ours(connection: sqlite3.Connection) -> None:
    if _read(connection, "application_id") != APPLICATION_ID:
        raise RecordBroken("the file is a database of another application")
    version = _read(connection, "user_version")
    if not isinstance(version, int) or version not in range(1, SCHEMA_VERSION + 1):
        raise RecordBroken(f"the record file is of version {version}, would have to be {SCHEMA_VERSION}")
    kept = {text for (text,) in connection.execute("SELECT sql FROM sqlite_schema WHERE type = 'trigger'")}
    if not kept >= triggers_of(version):
        raise RecordBroken("the record file is not append-only: a trigger was changed or removed")


def _read(connection: sqlite3.Connection, pragma: str) -> object:
    return connection.execute(f"PRAGMA {pragma}").fetchone()[0]

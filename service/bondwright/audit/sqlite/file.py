"""The SQLite file: its tables, the triggers that make them append-only, and what is demanded of it at opening."""

import os
import sqlite3
from pathlib import Path

from bondwright.audit.sqlite import index
from bondwright.errors import RecordBroken

APPLICATION_ID = int.from_bytes(b"Bond", "big")
"""Marks a SQLite file as ours (bytes 68 to 71 of the file)."""

SCHEMA_VERSION = 2
"""Kept in the file's `user_version`; a file of version 1, whose records had no marks, is brought up; any other is refused."""

_WITHOUT_MARKS = 1

_PACK = """
CREATE TABLE pack (
    pack_id TEXT NOT NULL PRIMARY KEY,
    digest TEXT NOT NULL UNIQUE CHECK (length(digest) = 64),
    first_used_at TEXT NOT NULL,
    text BLOB NOT NULL,
    UNIQUE (pack_id, digest)
) STRICT
"""

_RECORD = """
CREATE TABLE record (
    evaluation_id TEXT NOT NULL PRIMARY KEY,
    tenant TEXT NOT NULL,
    counter INTEGER NOT NULL,
    recorded_at TEXT NOT NULL CHECK (recorded_at GLOB
        '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]T[0-9][0-9]:[0-9][0-9]:[0-9][0-9].[0-9][0-9][0-9]Z'),
    pack_id TEXT NOT NULL,
    pack_digest TEXT NOT NULL,
    versions TEXT NOT NULL,
    evaluation_digest TEXT NOT NULL CHECK (length(evaluation_digest) = 64),
    salt BLOB NOT NULL CHECK (length(salt) >= 16),
    input_bytes BLOB NOT NULL,
    evaluation_bytes BLOB NOT NULL,
    UNIQUE (tenant, counter),
    FOREIGN KEY (pack_id, pack_digest) REFERENCES pack (pack_id, digest)
) STRICT
"""

_COUNTER_FOLLOWS = """
CREATE TRIGGER record_counter_follows BEFORE INSERT ON record
WHEN NEW.counter IS NOT 1 + coalesce((SELECT max(counter) FROM record WHERE tenant = NEW.tenant), 0)
BEGIN SELECT RAISE(ABORT, 'the counter does not follow the last one'); END
"""

# INSERT OR REPLACE fires the delete trigger only where recursive_triggers is on, which is each connection's own choice.
# So a taken key is refused before the insert, the hidden rowid included.
_NEVER_REPLACED = """
CREATE TRIGGER {table}_never_replaced BEFORE INSERT ON {table}
WHEN EXISTS (SELECT 1 FROM {table} WHERE {key} = NEW.{key}) OR EXISTS (SELECT 1 FROM {table} WHERE rowid = NEW.rowid)
BEGIN SELECT RAISE(ABORT, 'the {key} is taken'); END
"""

_DIGEST_NEVER_REPLACED = """
CREATE TRIGGER pack_digest_never_replaced BEFORE INSERT ON pack
WHEN EXISTS (SELECT 1 FROM pack WHERE digest = NEW.digest)
BEGIN SELECT RAISE(ABORT, 'the pack is kept under another pack_id'); END
"""

_NEVER = """
CREATE TRIGGER {table}_never_{action} BEFORE {action} ON {table}
BEGIN SELECT RAISE(ABORT, 'what is recorded stays as it is'); END
"""

_FIRST_TRIGGERS = (
    _COUNTER_FOLLOWS,
    _DIGEST_NEVER_REPLACED,
    _NEVER_REPLACED.format(table="record", key="evaluation_id"),
    _NEVER_REPLACED.format(table="pack", key="pack_id"),
    *(_NEVER.format(table=table, action=action) for table in ("record", "pack") for action in ("update", "delete")),
)

_LATER_TRIGGERS = (
    *index.TRIGGERS,
    *(_NEVER.format(table=table, action=action) for table in index.NEVER_CHANGED for action in ("update", "delete")),
)

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
    if is_new:
        _lay_out(connection)
    elif _read(connection, "user_version") == _WITHOUT_MARKS:
        demand_durable(connection)
        _bring_up(connection)


def _lay_out(connection: sqlite3.Connection) -> None:
    connection.execute("BEGIN IMMEDIATE")
    # Another process may have laid it out while this one waited.
    if _is_empty(connection):
        for statement in (_PACK, _RECORD, *index.TABLES, *_FIRST_TRIGGERS, *_LATER_TRIGGERS):
            connection.execute(statement)
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.execute(f"PRAGMA user_version = {SCHEMA_VERSION}")
    connection.execute("COMMIT")


def _bring_up(connection: sqlite3.Connection) -> None:
    connection.execute("BEGIN IMMEDIATE")
    # Another process may have brought it up while this one waited.
    if _read(connection, "user_version") == _WITHOUT_MARKS:
        try:
            index.bring_up(connection)
            for statement in _LATER_TRIGGERS:
                connection.execute(statement)
            connection.execute(f"PRAGMA user_version = {SCHEMA_VERSION}")
        except (RecordBroken, sqlite3.Error):
            connection.execute("ROLLBACK")
            raise
    connection.execute("COMMIT")


def _is_empty(connection: sqlite3.Connection) -> bool:
    (things,) = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()
    return things == 0 and _read(connection, "application_id") == 0 and _read(connection, "user_version") == 0


def _demand_ours(connection: sqlite3.Connection) -> None:
    if _read(connection, "application_id") != APPLICATION_ID:
        raise RecordBroken("the file is a database of another application")
    if (version := _read(connection, "user_version")) not in (_WITHOUT_MARKS, SCHEMA_VERSION):
        raise RecordBroken(f"the record file is of version {version}, would have to be {SCHEMA_VERSION}")
    kept = {text for (text,) in connection.execute("SELECT sql FROM sqlite_schema WHERE type = 'trigger'")}
    wanted = _FIRST_TRIGGERS if version == _WITHOUT_MARKS else (*_FIRST_TRIGGERS, *_LATER_TRIGGERS)
    if not kept >= {trigger.strip() for trigger in wanted}:
        raise RecordBroken("the record file is not append-only: a trigger was changed or removed")


def _read(connection: sqlite3.Connection, pragma: str) -> object:
    return connection.execute(f"PRAGMA {pragma}").fetchone()[0]

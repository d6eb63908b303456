"""The SQLite file: brought up to the last step, and what is demanded of it at opening."""

import os
import sqlite3
from pathlib import Path

from bondwright.audit.steps.statements import known_steps, layout_of, triggers_of
from bondwright.errors import RecordBroken

APPLICATION_ID = int.from_bytes(b"Bond", "big")
"""Marks a SQLite file as ours (bytes 68 to 71 of the file)."""

SCHEMA_VERSION = 4
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
        connection = connect(path, patience_s)
    except (OSError, sqlite3.Error) as error:
        raise RecordBroken(f"the record file cannot be opened: {error}") from error
    try:
        set_up(connection)
        if read(connection, "user_version") != SCHEMA_VERSION:
            take(connection, step_named(SCHEMA_VERSION))
        demand_durable(connection)
        demand_ours(connection)
    except sqlite3.Error as error:
        connection.close()
        raise RecordBroken(f"the record file cannot be used: {error}") from error
    except RecordBroken:
        connection.close()
        raise
    return connection


def connect(path: Path, patience_s: float) -> sqlite3.Connection:
    """A bare connection to the file, made with its folder, both private, if it is not there. Raises: OSError, sqlite3.Error."""
    _make_private(path)
    return sqlite3.connect(path, timeout=patience_s, isolation_level=None, check_same_thread=False)


def set_up(connection: sqlite3.Connection) -> None:
    """Nothing, once the connection has the settings it needs; a file that is not ours is not touched.

    Raises: RecordBroken, sqlite3.Error.
    """
    if not _is_empty(connection):
        demand_ours(connection)
    # A record alone in its transaction writes some fifty pages, one for each mark: 8 kB pages took 1.2 ms of processor where 16 kB took
    # 1.6; with 64 records in a transaction both took 0.3 (20 kB records, measured 2026-11). The log is checkpointed at as many bytes.
    connection.execute("PRAGMA page_size = 8192")
    connection.execute("PRAGMA wal_autocheckpoint = 2000")
    # Each mark goes into a page of its own kind: with the usual 2 MB those pages are written again and again within one transaction.
    connection.execute("PRAGMA cache_size = -65536")
    for pragma, asked, _ in _SETTINGS:
        connection.execute(f"PRAGMA {pragma} = {asked}")


def take(connection: sqlite3.Connection, to: str) -> None:
    """Nothing, once the file was taken up or down to that step, all the way or not at all.

    Raises: RecordBroken, if a step refuses; sqlite3.Error.
    """
    demand_durable(connection)
    move(connection, to)


def move(connection: sqlite3.Connection, to: str) -> None:
    """The same, whether or not it would survive a power cut. Raises: RecordBroken, if a step refuses; sqlite3.Error."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        # Asked once nobody else can move it: another process may have taken it there while this one waited.
        if _is_fresh(connection) and to in known_steps():
            for statement in layout_of(to):
                connection.execute(statement)
        else:
            # Loaded here only: it takes longer than all the rest, and most files are new or up to date.
            from bondwright.audit.steps.running import take_steps

            at = read(connection, "user_version")
            take_steps("sqlite", connection, to, at=step_named(at) if at else None)
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def step_named(version: object) -> str:
    """The step that a file of that `user_version` stands at."""
    return f"{version:04}"


def demand_durable(connection: sqlite3.Connection) -> None:
    """Nothing, if this connection's commits survive a power cut and its keys are enforced. Raises: RecordBroken."""
    for pragma, asked, wanted in _SETTINGS:
        if (found := read(connection, pragma)) != wanted:
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


def _is_fresh(connection: sqlite3.Connection) -> bool:
    """Whether nothing was ever laid out in the file, so that no step has anything to keep."""
    return connection.execute("SELECT count(*) FROM sqlite_schema").fetchone() == (0,) and read(connection, "user_version") == 0


def _is_empty(connection: sqlite3.Connection) -> bool:
    (things,) = connection.execute("SELECT count(*) FROM sqlite_schema WHERE tbl_name <> 'alembic_version'").fetchone()
    return things == 0 and read(connection, "application_id") == 0 and read(connection, "user_version") == 0


def demand_ours(connection: sqlite3.Connection) -> None:
    """Nothing, if the file is one of records, of a version we know, and append-only. Raises: RecordBroken, sqlite3.Error."""
    if read(connection, "application_id") != APPLICATION_ID:
        raise RecordBroken("the file is a database of another application")
    version = read(connection, "user_version")
    if not isinstance(version, int) or version not in range(1, SCHEMA_VERSION + 1):
        raise RecordBroken(f"the record file is of version {version}, would have to be {SCHEMA_VERSION}")
    kept = {text for (text,) in connection.execute("SELECT sql FROM sqlite_schema WHERE type = 'trigger'")}
    if not kept >= triggers_of(version):
        raise RecordBroken("the record file is not append-only: a trigger was changed or removed")


def read(connection: sqlite3.Connection, pragma: str) -> object:
    """The value of a pragma."""
    return connection.execute(f"PRAGMA {pragma}").fetchone()[0]

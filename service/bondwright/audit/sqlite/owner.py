"""What is done to the file itself: it is taken up and down its steps."""

import sqlite3
from contextlib import closing
from pathlib import Path

from bondwright.audit.sqlite.evidence import connect_to_read
from bondwright.audit.sqlite.file import SCHEMA_VERSION, connect, read, set_up, step_named
from bondwright.audit.sqlite.file import take as take_connection
from bondwright.errors import NothingKept, RecordBroken


def step_of(path: Path) -> str | None:
    """The step at which the file stands; none, before the first or where it is not there. Raises: RecordBroken."""
    try:
        with closing(connect_to_read(path, 0)) as connection:
            version = read(connection, "user_version")
    except NothingKept:
        return None
    except sqlite3.Error as error:
        raise RecordBroken(f"the record file cannot be opened: {error}") from error
    return step_named(version) if version else None


def take(path: Path, to: str = step_named(SCHEMA_VERSION), patience_s: float = 5.0) -> tuple[str | None, str | None]:
    """From which step to which the file was taken, all the way or not at all; it is made if it is not there.

    `to`: a step, or `base` for nothing at all. Raises: RecordBroken, and leaves everything as it was, if a step refuses or fails.
    """
    before = step_of(path)
    try:
        with closing(connect(path, patience_s)) as connection:
            set_up(connection)
            take_connection(connection, to)
    except (OSError, sqlite3.Error) as error:
        raise RecordBroken(f"the record file was left as it was: {error}") from error
    return before, step_of(path)

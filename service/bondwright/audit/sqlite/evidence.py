"""A SQLite file of records as evidence: read where nothing may be written, changed in no byte, and nothing made beside it."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from bondwright.audit.keys import SqlKeys
from bondwright.audit.record import NothingWritten
from bondwright.audit.sqlite.file import SCHEMA_VERSION, demand_ours, move, read, step_named
from bondwright.audit.sqlite.reader import SqliteReader
from bondwright.errors import NothingKept, RecordBroken

_Seen = tuple[int, int, int, bool]


class SqliteEvidence(NothingWritten, SqliteReader):
    """A RecordStore in a file that is only read, also while a service adds to it.

    Raises, at opening: NothingKept, if there is no file; RecordBroken, if it is not ours or cannot be read.
    """

    def __init__(self, path: Path, patience_s: float = 5.0) -> None:
        """`patience_s`: how long a reader waits, in seconds, for a service that starts."""
        self._path, self._patience_s = path, patience_s
        self._seen = _seen(path)
        super().__init__(open_to_read(path, patience_s))

    @contextmanager
    def _snapshot(self) -> Iterator[Callable[..., list[Any]]]:
        # A file at rest is read without locks. If it does not rest any more, it is opened anew and read beside whoever adds to it.
        if (now := _seen(self._path)) != self._seen and not self._is_shared:
            self.close()
            self._seen, self._to_read = now, open_to_read(self._path, self._patience_s)
        with super()._snapshot() as rows:
            yield rows
        if not self._is_shared and _seen(self._path) != self._seen:
            raise RecordBroken("the record file was changed while it was read; read it again")

    @property
    def _is_shared(self) -> bool:
        return self._seen[-1]


class SqliteKeysToRead(SqlKeys):
    """A KeyStore in a file that is only read. Raises, at opening, as SqliteEvidence; whatever would change a key: RecordBroken."""

    place = "?"

    def __init__(self, path: Path, patience_s: float = 5.0) -> None:
        """See SqliteEvidence."""
        self._connection = open_to_read(path, patience_s)

    def close(self) -> None:
        """See KeyStore."""
        self._connection.close()

    def _run(self, sql: str, *values: object) -> list[Any]:
        try:
            return self._connection.execute(sql, values).fetchall()
        except sqlite3.Error as error:
            raise RecordBroken(f"the keys cannot be used: {error}") from error


def open_to_read(path: Path, patience_s: float) -> sqlite3.Connection:
    """A connection that only reads; of a file of an earlier step, to a copy of it that was brought up and is gone once it is closed.

    Raises: NothingKept; RecordBroken, if the file is not ours or cannot be read.
    """
    connection = connect_to_read(path, patience_s)
    try:
        demand_ours(connection)
        if read(connection, "user_version") == SCHEMA_VERSION:
            return connection
        with closing(connection):
            copy = sqlite3.connect("", isolation_level=None, check_same_thread=False)
            connection.backup(copy)
        move(copy, step_named(SCHEMA_VERSION))
        return copy
    except sqlite3.Error as error:
        connection.close()
        raise RecordBroken(f"the record file cannot be read: {error}") from error
    except RecordBroken:
        connection.close()
        raise


def connect_to_read(path: Path, patience_s: float) -> sqlite3.Connection:
    """A bare connection that only reads. Raises: NothingKept, RecordBroken."""
    try:
        is_empty = path.stat().st_size == 0
        uri = f"{path.resolve().as_uri()}?{_how(path)}"
        if not is_empty:
            connection = sqlite3.connect(uri, uri=True, timeout=patience_s, isolation_level=None, check_same_thread=False)
            if "unix-none" in uri:
                connection.execute("PRAGMA locking_mode = EXCLUSIVE")  # the index of the log is then in memory, not in a file
            return connection
    except FileNotFoundError:
        pass
    except (OSError, sqlite3.Error) as error:
        raise RecordBroken(f"the record file cannot be opened: {error}") from error
    raise NothingKept(f"nothing is kept at {path}; --data names the folder of a record")


def _how(path: Path) -> str:
    """What SQLite is told of the file: it makes nothing beside it where all that is needed is there, or nobody can be writing."""
    if _beside(path, "-shm").exists():
        return "mode=ro"  # a service is at it, or was
    log = _beside(path, "-wal")
    return "mode=ro&vfs=unix-none" if log.exists() and log.stat().st_size else "immutable=1"


def _seen(path: Path) -> _Seen:
    """What would show that the file does not rest: when it was changed, its size, which file it is; and whether it is shared."""
    try:
        found = path.stat()
    except OSError:
        return 0, 0, 0, False
    return found.st_mtime_ns, found.st_size, found.st_ino, _beside(path, "-shm").exists()


def _beside(path: Path, suffix: str) -> Path:
    return path.with_name(path.name + suffix)

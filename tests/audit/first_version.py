"""A record file as version 1 wrote it: its text stands here for good, whatever the service writes today."""

import sqlite3
from collections.abc import Sequence
from pathlib import Path

from tests.audit.builders import PACK_TEXT, digest

LAYOUT = (
    """
CREATE TABLE pack (
    pack_id TEXT NOT NULL PRIMARY KEY,
    digest TEXT NOT NULL UNIQUE CHECK (length(digest) = 64),
    first_used_at TEXT NOT NULL,
    text BLOB NOT NULL,
    UNIQUE (pack_id, digest)
) STRICT
""",
    """
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
""",
    """
CREATE TRIGGER record_counter_follows BEFORE INSERT ON record
WHEN NEW.counter IS NOT 1 + coalesce((SELECT max(counter) FROM record WHERE tenant = NEW.tenant), 0)
BEGIN SELECT RAISE(ABORT, 'the counter does not follow the last one'); END
""",
    """
CREATE TRIGGER pack_digest_never_replaced BEFORE INSERT ON pack
WHEN EXISTS (SELECT 1 FROM pack WHERE digest = NEW.digest)
BEGIN SELECT RAISE(ABORT, 'the pack is kept under another pack_id'); END
""",
    """
CREATE TRIGGER record_never_replaced BEFORE INSERT ON record
WHEN EXISTS (SELECT 1 FROM record WHERE evaluation_id = NEW.evaluation_id) OR EXISTS (SELECT 1 FROM record WHERE rowid = NEW.rowid)
BEGIN SELECT RAISE(ABORT, 'the evaluation_id is taken'); END
""",
    """
CREATE TRIGGER pack_never_replaced BEFORE INSERT ON pack
WHEN EXISTS (SELECT 1 FROM pack WHERE pack_id = NEW.pack_id) OR EXISTS (SELECT 1 FROM pack WHERE rowid = NEW.rowid)
BEGIN SELECT RAISE(ABORT, 'the pack_id is taken'); END
""",
    """
CREATE TRIGGER record_never_update BEFORE update ON record
BEGIN SELECT RAISE(ABORT, 'what is recorded stays as it is'); END
""",
    """
CREATE TRIGGER record_never_delete BEFORE delete ON record
BEGIN SELECT RAISE(ABORT, 'what is recorded stays as it is'); END
""",
    """
CREATE TRIGGER pack_never_update BEFORE update ON pack
BEGIN SELECT RAISE(ABORT, 'what is recorded stays as it is'); END
""",
    """
CREATE TRIGGER pack_never_delete BEFORE delete ON pack
BEGIN SELECT RAISE(ABORT, 'what is recorded stays as it is'); END
""",
)


def write_first_version(path: Path, contents: Sequence[bytes], digest_of_last: str = "", leave_open: bool = False) -> sqlite3.Connection:
    """A file of version 1 with one record for each of `contents`, named e1, e2 …; its connection, closed unless it is left open."""
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA page_size = 16384")
    connection.execute("PRAGMA journal_mode = WAL")
    for statement in LAYOUT:
        connection.execute(statement)
    connection.execute(f"PRAGMA application_id = {int.from_bytes(b'Bond', 'big')}")
    connection.execute("PRAGMA user_version = 1")
    time = "2026-11-25T09:30:00.000Z"
    connection.execute("INSERT INTO pack VALUES (?, ?, ?, ?)", ("tests-2026-r1", digest(PACK_TEXT), time, PACK_TEXT))
    for number, content in enumerate(contents, start=1):
        hashed = digest_of_last if digest_of_last and number == len(contents) else digest(content)
        row = (f"e{number}", "local", number, time, "tests-2026-r1", digest(PACK_TEXT), "{}", hashed, bytes(16), b"{}", content)
        connection.execute(f"INSERT INTO record VALUES ({', '.join('?' * len(row))})", row)
    if not leave_open:
        connection.close()
    return connection

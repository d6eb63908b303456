"""The tables by which records are found: a summary of each record and its marks, kept with it and as unchangeable as it is."""

import sqlite3

import orjson

from bondwright.audit.marks import Marks, marks_of
from bondwright.audit.record import NewRecord, Summary, demand_digest

_SUMMARY = """
CREATE TABLE summary (
    tenant TEXT NOT NULL,
    counter INTEGER NOT NULL,
    evaluation_id TEXT NOT NULL,
    recorded_at TEXT NOT NULL,
    reference TEXT NOT NULL,
    pack_id TEXT NOT NULL,
    day TEXT NOT NULL,
    PRIMARY KEY (tenant, counter),
    FOREIGN KEY (tenant, counter) REFERENCES record (tenant, counter) DEFERRABLE INITIALLY DEFERRED
) STRICT, WITHOUT ROWID
"""

_IN_ORDER = "CREATE INDEX summary_by_{column} ON summary (tenant, {column}, counter)"

_RULE = """
CREATE TABLE rests_on_rule (
    tenant TEXT NOT NULL,
    rule TEXT NOT NULL,
    pack_id TEXT NOT NULL,
    counter INTEGER NOT NULL,
    PRIMARY KEY (tenant, rule, pack_id, counter)
) STRICT, WITHOUT ROWID
"""

_CLAUSE = """
CREATE TABLE rests_on_clause (
    tenant TEXT NOT NULL,
    clause TEXT NOT NULL,
    counter INTEGER NOT NULL,
    PRIMARY KEY (tenant, clause, counter)
) STRICT, WITHOUT ROWID
"""

_LEVEL = """
CREATE TABLE has_level (
    tenant TEXT NOT NULL,
    outcome TEXT NOT NULL,
    act_on TEXT NOT NULL,
    counter INTEGER NOT NULL,
    PRIMARY KEY (tenant, outcome, act_on, counter)
) STRICT, WITHOUT ROWID
"""

TABLES = (
    _SUMMARY,
    *(_IN_ORDER.format(column=column) for column in ("reference", "pack_id", "recorded_at")),
    _RULE,
    _CLAUSE,
    _LEVEL,
)
"""What makes the tables and their indexes, in order."""

# The summary comes before the record, so whoever does not know of marks cannot add a record; marks can be added to the last one only.
_SUMMARY_FIRST = """
CREATE TRIGGER record_has_a_summary BEFORE INSERT ON record
WHEN NOT EXISTS (SELECT 1 FROM summary WHERE tenant = NEW.tenant AND counter = NEW.counter AND evaluation_id = NEW.evaluation_id
    AND recorded_at = NEW.recorded_at AND pack_id = NEW.pack_id)
BEGIN SELECT RAISE(ABORT, 'the record has no summary'); END
"""

_SUMMARY_NEVER_REPLACED = """
CREATE TRIGGER summary_never_replaced BEFORE INSERT ON summary
WHEN EXISTS (SELECT 1 FROM summary WHERE tenant = NEW.tenant AND counter = NEW.counter)
BEGIN SELECT RAISE(ABORT, 'the record is kept, with its summary'); END
"""

_CLOSED = """
CREATE TRIGGER {table}_is_closed BEFORE INSERT ON {table}
WHEN NEW.counter IS NOT (SELECT max(counter) FROM record WHERE tenant = NEW.tenant)
BEGIN SELECT RAISE(ABORT, 'the record is kept, with what it is found by'); END
"""

TRIGGERS = (
    _SUMMARY_FIRST,
    _SUMMARY_NEVER_REPLACED,
    *(_CLOSED.format(table=table) for table in ("rests_on_rule", "rests_on_clause", "has_level")),
)
"""What keeps the tables in step with the records; set once they are filled."""

NEVER_CHANGED = ("summary", "rests_on_rule", "rests_on_clause", "has_level")
"""The tables whose rows stay as they are."""

_COLUMNS = ("tenant", *Summary.__slots__)
_INSERT_SUMMARY = f"INSERT INTO summary ({', '.join(_COLUMNS)}) VALUES ({', '.join('?' * len(_COLUMNS))})"
# One statement for all marks of a kind: each statement gives up the interpreter lock and must win it back.
_PAIR = "json_extract(value, '$[0]'), json_extract(value, '$[1]')"
_INSERT_RULES = f"INSERT INTO rests_on_rule (tenant, rule, pack_id, counter) SELECT ?, {_PAIR}, ? FROM json_each(?)"
_INSERT_CLAUSES = "INSERT INTO rests_on_clause (tenant, clause, counter) SELECT ?, value, ? FROM json_each(?)"
_INSERT_LEVELS = f"INSERT INTO has_level (tenant, outcome, act_on, counter) SELECT ?, {_PAIR}, ? FROM json_each(?)"

_KEPT_WITHOUT = """
SELECT tenant, counter, evaluation_id, recorded_at, pack_id, evaluation_digest, evaluation_bytes FROM record ORDER BY tenant, counter
"""


def keep_summary(connection: sqlite3.Connection, record: NewRecord, counter: int, marks: Marks) -> None:
    """Writes the summary of a record in the open transaction; the record itself must follow, and then its marks."""
    summary = Summary(record.evaluation_id, record.recorded_at, marks.reference, record.pack_id, marks.day, counter)
    _write_summary(connection, record.tenant, summary)


def keep_marks(connection: sqlite3.Connection, tenant: str, counter: int, marks: Marks) -> None:
    """Writes the marks of the last record in the open transaction."""
    for insert, entries in ((_INSERT_RULES, marks.rules), (_INSERT_CLAUSES, marks.clauses), (_INSERT_LEVELS, marks.levels)):
        if entries:
            connection.execute(insert, (tenant, counter, orjson.dumps(entries).decode()))


def bring_up(connection: sqlite3.Connection) -> None:
    """Makes the tables and fills them from the records that are kept, in the open transaction.

    Raises: RecordBroken, if the bytes of a record do not hash to their digest: nothing may be said of it.
    """
    for statement in TABLES:
        connection.execute(statement)
    for tenant, counter, evaluation_id, recorded_at, pack_id, digest, evaluation in connection.execute(_KEPT_WITHOUT):
        demand_digest(f"evaluation {evaluation_id}", evaluation, digest)
        marks = marks_of(evaluation)
        _write_summary(connection, tenant, Summary(evaluation_id, recorded_at, marks.reference, pack_id, marks.day, counter))
        keep_marks(connection, tenant, counter, marks)


def _write_summary(connection: sqlite3.Connection, tenant: str, summary: Summary) -> None:
    connection.execute(_INSERT_SUMMARY, (tenant, *(getattr(summary, name) for name in Summary.__slots__)))

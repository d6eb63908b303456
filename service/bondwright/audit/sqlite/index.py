"""What records are found by: a summary of each and its marks, kept with it."""

import sqlite3

import orjson

from bondwright.audit.marks import Marks
from bondwright.audit.record import NewRecord, Summary

_COLUMNS = ("tenant", *Summary.__slots__)
_INSERT_SUMMARY = f"INSERT INTO summary ({', '.join(_COLUMNS)}) VALUES ({', '.join('?' * len(_COLUMNS))})"
# One statement for all marks of a kind: each statement gives up the interpreter lock and must win it back.
_PAIR = "json_extract(value, '$[0]'), json_extract(value, '$[1]')"
_INSERT_RULES = f"INSERT INTO rests_on_rule (tenant, rule, pack_id, counter) SELECT ?, {_PAIR}, ? FROM json_each(?)"
_INSERT_CLAUSES = "INSERT INTO rests_on_clause (tenant, clause, counter) SELECT ?, value, ? FROM json_each(?)"
_INSERT_LEVELS = f"INSERT INTO has_level (tenant, outcome, act_on, counter) SELECT ?, {_PAIR}, ? FROM json_each(?)"


def keep_summary(connection: sqlite3.Connection, record: NewRecord, counter: int, marks: Marks) -> None:
    """Writes the summary of a record in the open transaction; the record itself must follow, and then its marks."""
    summary = Summary(record.evaluation_id, record.recorded_at, marks.reference, record.pack_id, marks.day, counter)
    connection.execute(_INSERT_SUMMARY, (record.tenant, *(getattr(summary, name) for name in Summary.__slots__)))


def keep_marks(connection: sqlite3.Connection, tenant: str, counter: int, marks: Marks) -> None:
    """Writes the marks of the last record in the open transaction."""
    for insert, entries in ((_INSERT_RULES, marks.rules), (_INSERT_CLAUSES, marks.clauses), (_INSERT_LEVELS, marks.levels)):
        if entries:
            connection.execute(insert, (tenant, counter, orjson.dumps(entries).decode()))

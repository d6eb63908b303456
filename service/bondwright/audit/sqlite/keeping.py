"""A record with all that it is found by, kept by one statement, many records if need be.

Each statement gives up the interpreter lock and must win it back, and copies every page it touches before it changes it, to take itself
back. So one writes to a view, whose trigger fills the tables; both belong to the connection alone, nothing of them is in the file. The
triggers of the file see each row as they would see any other.
"""

import sqlite3
from functools import lru_cache

import orjson

from bondwright.audit.marks import Marks
from bondwright.audit.record import Record, Summary
from bondwright.audit.rows import COLUMNS, row_of

_FOUND_BY = ("reference", "day", "rules", "clauses", "levels")
_ALL = (*COLUMNS, *_FOUND_BY)
_SUMMARY = ("tenant", *Summary.__slots__)
_FIRST, _SECOND = "json_extract(value, '$[0]')", "json_extract(value, '$[1]')"


def _new(columns: tuple[str, ...]) -> str:
    return ", ".join(f"NEW.{column}" for column in columns)


_VIEW = f"CREATE TEMP VIEW keeping AS SELECT {', '.join(COLUMNS)}, {', '.join(f'NULL AS {name}' for name in _FOUND_BY)} FROM record"

# The summary comes before its record, and its marks follow it: so the triggers of the file want it.
_TRIGGER = f"""
CREATE TEMP TRIGGER keep INSTEAD OF INSERT ON keeping BEGIN
    INSERT INTO summary ({", ".join(_SUMMARY)}) VALUES ({_new(_SUMMARY)});
    INSERT INTO record ({", ".join(COLUMNS)}) VALUES ({_new(COLUMNS)});
    INSERT INTO rests_on_rule (tenant, rule, pack_id, counter)
        SELECT NEW.tenant, {_FIRST}, {_SECOND}, NEW.counter FROM json_each(NEW.rules);
    INSERT INTO rests_on_clause (tenant, clause, counter) SELECT NEW.tenant, value, NEW.counter FROM json_each(NEW.clauses);
    INSERT INTO has_level (tenant, outcome, act_on, counter)
        SELECT NEW.tenant, {_FIRST}, {_SECOND}, NEW.counter FROM json_each(NEW.levels);
END"""


def prepare(connection: sqlite3.Connection) -> None:
    """Nothing, once the connection can keep records so. Raises: sqlite3.Error."""
    # The copies of pages that a statement would take itself back with go into memory, not into a file beside it.
    connection.execute("PRAGMA temp_store = MEMORY")
    connection.execute(_VIEW)
    connection.execute(_TRIGGER)


@lru_cache(maxsize=16)
def insert(rows: int) -> str:
    """The statement that keeps so many records, whose values follow each other."""
    row = f"({', '.join('?' * len(_ALL))})"
    return f"INSERT INTO keeping ({', '.join(_ALL)}) VALUES {', '.join([row] * rows)}"


def values_of(record: Record, marks: Marks) -> tuple[object, ...]:
    """The values of one record in that statement."""
    entries = (orjson.dumps(some).decode() for some in (marks.rules, marks.clauses, marks.levels))
    return (*row_of(record), marks.reference, marks.day, *entries)

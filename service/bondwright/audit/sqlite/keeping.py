"""A record with all that it is found by, kept by one statement, many records if need be.

Each statement gives up the interpreter lock and must win it back, and copies every page it touches before it changes it, to take itself
back. So one writes to a view, whose trigger fills the tables; both belong to the connection alone, nothing of them is in the file. The
triggers of the file see each row as they would see any other.
"""

import sqlite3
from collections.abc import Sequence
from functools import lru_cache

import orjson

from bondwright.audit.additions import Addition
from bondwright.audit.record import Record, Summary
from bondwright.audit.rows.records import COLUMNS, row_of

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


_INTO = f"INSERT INTO keeping ({', '.join(_ALL)}) VALUES"
_ANSWER, _ID = COLUMNS.index("evaluation_bytes"), COLUMNS.index("evaluation_id")
_ROOM_FOR_ONE = f"{_INTO} ({', '.join('zeroblob(?)' if at == _ANSWER else '?' for at in range(len(_ALL)))})"
_PIECE_BYTES = 4_000_000


@lru_cache(maxsize=16)
def insert(rows: int) -> str:
    """The statement that keeps so many records, whose values follow each other."""
    row = f"({', '.join('?' * len(_ALL))})"
    return f"{_INTO} {', '.join([row] * rows)}"


def keep_in_pieces(connection: sqlite3.Connection, values: Sequence[object]) -> None:
    """Keeps a record of those values, as `values_of` gives them, its answer piece by piece. Raises: sqlite3.Error.

    Bound as a whole, an answer is copied with the interpreter lock held: a hundred million bytes take a twentieth of a second, in which
    nothing else is answered.
    """
    answer = values[_ANSWER]
    assert isinstance(answer, bytes), "answers are bytes"
    connection.execute(_ROOM_FOR_ONE, (*values[:_ANSWER], len(answer), *values[_ANSWER + 1 :]))
    (row,) = connection.execute("SELECT rowid FROM record WHERE evaluation_id = ?", (values[_ID],)).fetchone()
    with connection.blobopen("record", COLUMNS[_ANSWER], row) as kept, memoryview(answer) as left:
        for begin in range(0, len(answer), _PIECE_BYTES):
            kept.write(left[begin : begin + _PIECE_BYTES])


def values_of(record: Record, addition: Addition) -> tuple[object, ...]:
    """The values of one record in that statement, of which it is the addition."""
    marks = addition.marks
    entries = (orjson.dumps(some).decode() for some in (marks.rules, marks.clauses, marks.levels))
    return (*row_of(record, addition.answer_kept), marks.reference, marks.day, *entries)

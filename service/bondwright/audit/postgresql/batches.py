"""Records written to a PostgreSQL connection, many to a transaction."""

import json
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, fields
from itertools import groupby

import psycopg

from bondwright.audit.marks import Marks
from bondwright.audit.postgresql.connection import Connection, told
from bondwright.audit.record import NewRecord, Record, Summary
from bondwright.errors import RecordBroken

COLUMNS = tuple(field.name for field in fields(Record))

# One writer at a time in the whole database, so counters follow each other and records become visible in their order.
_ONE_WRITER = "SELECT pg_advisory_xact_lock(7165348520131)"
_TENANT = "SELECT set_config('bondwright.tenant', %s, true), (SELECT coalesce(max(counter), 0) FROM record WHERE tenant = %s)"
_TRIAL = "SELECT current_setting('transaction_read_only'), pg_logical_emit_message(true, 'bondwright', 'ready')"
_PACK = "INSERT INTO pack (pack_id, digest, text, first_used_at) VALUES (%s, %s, %s, %s)"

_TYPES = {"counter": "bigint", "salt": "bytea", "input_bytes": "bytea", "evaluation_bytes": "bytea"}
_SUMMARY = ("tenant", *Summary.__slots__)


def _insert(table: str, columns: Sequence[str]) -> str:
    # %b: sent as they are; written out as text, bytes alone would cost more than keeping them.
    arrays = ", ".join(f"%b::{_TYPES.get(column, 'text')}[]" for column in columns)
    return f"INSERT INTO {table} ({', '.join(columns)}) SELECT * FROM unnest({arrays})"


_MARKS = {
    "rules": _insert("rests_on_rule", ("tenant", "rule", "pack_id", "counter")),
    "clauses": _insert("rests_on_clause", ("tenant", "clause", "counter")),
    "levels": _insert("has_level", ("tenant", "outcome", "act_on", "counter")),
}
_INSERT_SUMMARY, _INSERT_RECORD = _insert("summary", _SUMMARY), _insert("record", COLUMNS)


@dataclass(frozen=True, slots=True)
class Addition:
    """A record to keep with its marks. `pack_text`: of its pack, unless that is known to be kept."""

    record: NewRecord
    marks: Marks
    pack_text: bytes | None


@dataclass(frozen=True, slots=True)
class Trial:
    """A durable write that leaves no row behind."""


class PostgresqlBatches:
    """Batches on one connection, opened when it is first needed and anew after every fault."""

    def __init__(self, open_connection: Callable[[], Connection]) -> None:
        self._open, self._connection = open_connection, open_connection()

    def write(self, jobs: Sequence[Addition | Trial]) -> list[Record | RecordBroken | None]:
        """See Batches: a record for each addition, none for a trial. Raises: RecordBroken."""
        try:
            if not self._connection.is_quiet():
                self.close()
                self._connection = self._open()
            try:
                return self._together(jobs)
            except (psycopg.DataError, psycopg.IntegrityError, UnicodeEncodeError, RecordBroken):
                # Somebody's record is refused; each on its own shows whose.
                with self._connection.transaction():
                    self._connection.execute(_ONE_WRITER)
                    return [self._alone(job) for job in jobs]
        except psycopg.Error as error:
            self.close()
            raise RecordBroken(told(error)) from error
        except BaseException:
            self.close()
            raise

    def may_go_on(self, _error: Exception) -> bool:
        """See Batches: always, for the next batch begins with a fresh connection, which is asked again whether it is fit."""
        return True

    def close(self) -> None:
        """Nothing, once the connection is closed; the next batch opens another."""
        with suppress(psycopg.Error):
            self._connection.close()

    def _together(self, jobs: Sequence[Addition | Trial]) -> list[Record | RecordBroken | None]:
        outcomes: dict[int, Record] = {}
        additions = [(place, job) for place, job in enumerate(jobs) if isinstance(job, Addition)]
        with self._connection.transaction():
            if len(additions) < len(jobs):
                self._try()
            if additions:
                self._connection.execute(_ONE_WRITER)
            additions.sort(key=lambda one: one[1].record.tenant)
            for tenant, some in groupby(additions, key=lambda one: one[1].record.tenant):
                outcomes |= self._of_one_tenant(tenant, list(some))
        return [outcomes.get(place) for place in range(len(jobs))]

    def _try(self) -> None:
        # A message in the log of the database: the commit of a transaction that has written nothing waits for no disk.
        row = self._connection.execute(_TRIAL).fetchone()
        if row is None or row[0] != "off":
            raise RecordBroken("the database takes nothing: it is read-only")

    def _of_one_tenant(self, tenant: str, additions: Sequence[tuple[int, Addition]]) -> dict[int, Record]:
        row = self._connection.execute(_TENANT, (tenant, tenant)).fetchone()
        assert row is not None
        for _, addition in additions:
            self._keep_pack(addition)
        kept = {place: addition.record.numbered(row[1] + n) for n, (place, addition) in enumerate(additions, start=1)}
        with self._connection.pipeline():
            for statement, rows in _statements([(kept[place], addition.marks) for place, addition in additions]):
                if rows:
                    self._connection.execute(statement, [list(column) for column in zip(*rows, strict=True)])
        return kept

    def _keep_pack(self, addition: Addition) -> None:
        record = addition.record
        if addition.pack_text is None:
            return
        found = self._connection.execute("SELECT digest FROM pack WHERE pack_id = %s", (record.pack_id,)).fetchone()
        if not found:
            self._connection.execute(_PACK, (record.pack_id, record.pack_digest, addition.pack_text, record.recorded_at))
        elif found[0] != record.pack_digest:
            raise RecordBroken(f"not recorded: rule pack {record.pack_id} already stands for other bytes")

    def _alone(self, job: Addition | Trial) -> Record | RecordBroken | None:
        try:
            return self._together([job])[0]
        except (psycopg.DataError, psycopg.IntegrityError) as error:
            named = error.diag.constraint_name or ""
            return RecordBroken(f"not recorded: {named if named.startswith('the ') else error.diag.message_primary or error}")
        except RecordBroken as error:
            return error
        except UnicodeEncodeError as error:
            return RecordBroken(f"not recorded: a text cannot be written as UTF-8: {error.reason}")


def _statements(kept: Sequence[tuple[Record, Marks]]) -> Iterator[tuple[str, list[tuple[object, ...]]]]:
    """In the order that the database asks for: summaries, marks, records."""
    yield _INSERT_SUMMARY, [_summary(record, marks) for record, marks in kept]
    for kind, statement in _MARKS.items():
        entries = [(record, entry) for record, marks in kept for entry in getattr(marks, kind)]
        yield statement, [(record.tenant, *(entry if isinstance(entry, tuple) else (entry,)), record.counter) for record, entry in entries]
    yield _INSERT_RECORD, [_row(record) for record, _ in kept]


def _summary(record: Record, marks: Marks) -> tuple[object, ...]:
    summary = Summary(record.evaluation_id, record.recorded_at, marks.reference, record.pack_id, marks.day, record.counter)
    return (record.tenant, *(getattr(summary, name) for name in Summary.__slots__))


def _row(record: Record) -> tuple[object, ...]:
    values = {name: getattr(record, name) for name in COLUMNS}
    values["versions"] = json.dumps(dict(record.versions), sort_keys=True)
    return tuple(values.values())

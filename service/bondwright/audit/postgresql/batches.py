"""Records written to a PostgreSQL connection, many to a transaction."""

import hashlib
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from itertools import groupby
from typing import TypeAlias

import psycopg

from bondwright.audit.additions import Addition, Room, Trial, first_of_each
from bondwright.audit.marks import Marks
from bondwright.audit.postgresql.connection import Connection, told
from bondwright.audit.postgresql.repeated import answered
from bondwright.audit.record import Record, Summary
from bondwright.audit.rows.records import COLUMNS, row_of
from bondwright.errors import BondwrightError, RecordBroken, SentBefore

_Job: TypeAlias = Addition | Trial

# One writer at a time in the whole database, so counters follow each other and records become visible in their order.
ONE_WRITER = "SELECT pg_advisory_xact_lock(7165348520131)"
_TENANT = "SELECT set_config('bondwright.tenant', %s, true), (SELECT coalesce(max(counter), 0) FROM record WHERE tenant = %s)"
_TRIAL = "SELECT current_setting('transaction_read_only'), pg_logical_emit_message(true, 'bondwright', 'ready')"
_NO_ROOM = ("53100", "58030")  # the disk is full; it could not be written to
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
_INSERT_REQUEST = _insert("repeated_request", ("tenant", "idempotency_key", "request_digest", "counter"))


class PostgresqlBatches:
    """Batches on one connection, opened when it is first needed and anew after every fault."""

    def __init__(self, open_connection: Callable[[], Connection]) -> None:
        self._open, self._connection = open_connection, open_connection()
        self._room = Room()

    def write(self, first: Sequence[_Job], late: Callable[[], Sequence[_Job]], /) -> list[Record | BondwrightError | None]:
        """See Batches: a record for each addition, none for a trial. Raises: RecordBroken."""
        jobs = list(first)
        try:
            if not self._connection.is_quiet():
                self.close()
                self._connection = self._open()
            try:
                outcomes = self._together(jobs, late)
            except (psycopg.DataError, psycopg.IntegrityError, UnicodeEncodeError, RecordBroken, SentBefore):
                # Somebody's record is refused; each on its own shows whose.
                with self._connection.transaction():
                    self._connection.execute(ONE_WRITER)
                    outcomes = [self._alone(job) for job in jobs]
        except psycopg.Error as error:
            self.close()
            if error.sqlstate in _NO_ROOM:
                self._room.refused(jobs)
            raise RecordBroken(told(error)) from error
        except BaseException:
            self.close()
            raise
        self._room.found(outcomes)
        return outcomes

    def may_go_on(self, _error: Exception) -> bool:
        """See Batches: always, for the next batch begins with a fresh connection, which is asked again whether it is fit."""
        return True

    def close(self) -> None:
        """Nothing, once the connection is closed; the next batch opens another."""
        with suppress(psycopg.Error):
            self._connection.close()

    def _together(self, jobs: list[_Job], late: Callable[[], Sequence[_Job]] = tuple) -> list[Record | BondwrightError | None]:
        """What becomes of the jobs, and of those that came `late`, which are then among them."""
        outcomes: dict[int, Record] = {}
        adds = any(isinstance(job, Addition) for job in jobs)
        with self._connection.transaction():
            if any(isinstance(job, Trial) for job in jobs):
                self._try(0 if adds else self._room.missing)
            if adds:
                self._connection.execute(ONE_WRITER)
                jobs += late()  # another may have written for long
            additions = [(place, job) for place, job in enumerate(jobs) if isinstance(job, Addition)]
            additions.sort(key=lambda one: one[1].record.tenant)
            for tenant, some in groupby(additions, key=lambda one: one[1].record.tenant):
                outcomes |= self._of_one_tenant(tenant, list(some))
        return [outcomes.get(place) for place in range(len(jobs))]

    def _try(self, room: int) -> None:
        """`room`: bytes to write besides, and to take back."""
        # A message in the log of the database: the commit of a transaction that has written nothing waits for no disk.
        row = self._connection.execute(_TRIAL).fetchone()
        if row is None or row[0] != "off":
            raise RecordBroken("the database takes nothing: it is read-only")
        if room:
            with self._connection.transaction(force_rollback=True):
                self._connection.execute(ONE_WRITER)
                # Bytes that cannot be packed into fewer, in a row that nobody ever sees.
                self._connection.execute(_PACK, ("", "0" * 64, hashlib.shake_256().digest(room), ""))

    def _of_one_tenant(self, tenant: str, additions: Sequence[tuple[int, Addition]]) -> dict[int, Record]:
        row = self._connection.execute(_TENANT, (tenant, tenant)).fetchone()
        assert row is not None
        before = answered(self._connection, tenant, [addition.once for _, addition in additions if addition.once])
        new = first_of_each([addition for _, addition in additions], before)
        for addition in new:
            self._keep_pack(addition)
        kept = {addition.record.evaluation_id: addition.record.numbered(row[1] + n) for n, addition in enumerate(new, start=1)}
        with self._connection.pipeline():
            for statement, rows in _statements([(kept[addition.record.evaluation_id], addition) for addition in new]):
                if rows:
                    self._connection.execute(statement, [list(column) for column in zip(*rows, strict=True)])
        by_key = before | {addition.once.idempotency_key: kept[addition.record.evaluation_id] for addition in new if addition.once}
        return {
            place: by_key[addition.once.idempotency_key] if addition.once else kept[addition.record.evaluation_id]
            for place, addition in additions
        }

    def _keep_pack(self, addition: Addition) -> None:
        record = addition.record
        if addition.pack_text is None:
            return
        found = self._connection.execute("SELECT digest FROM pack WHERE pack_id = %s", (record.pack_id,)).fetchone()
        if not found:
            self._connection.execute(_PACK, (record.pack_id, record.pack_digest, addition.pack_text, record.recorded_at))
        elif found[0] != record.pack_digest:
            raise RecordBroken(f"not recorded: rule pack {record.pack_id} already stands for other bytes")

    def _alone(self, job: _Job) -> Record | BondwrightError | None:
        try:
            return self._together([job])[0]
        except (psycopg.DataError, psycopg.IntegrityError) as error:
            named = error.diag.constraint_name or ""
            return RecordBroken(f"not recorded: {named if named.startswith('the ') else error.diag.message_primary or error}")
        except (RecordBroken, SentBefore) as error:
            return error
        except UnicodeEncodeError as error:
            return RecordBroken(f"not recorded: a text cannot be written as UTF-8: {error.reason}")


def _statements(kept: Sequence[tuple[Record, Addition]]) -> Iterator[tuple[str, list[tuple[object, ...]]]]:
    """In the order that the database asks for: summaries, marks, records, requests."""
    yield _INSERT_SUMMARY, [_summary(record, addition.marks) for record, addition in kept]
    for kind, statement in _MARKS.items():
        entries = [(record, entry) for record, addition in kept for entry in getattr(addition.marks, kind)]
        yield statement, [(record.tenant, *(entry if isinstance(entry, tuple) else (entry,)), record.counter) for record, entry in entries]
    yield _INSERT_RECORD, [row_of(record, addition.answer_kept) for record, addition in kept]
    requests = [(record, addition.once) for record, addition in kept if addition.once]
    yield _INSERT_REQUEST, [(record.tenant, once.idempotency_key, once.request_digest, record.counter) for record, once in requests]


def _summary(record: Record, marks: Marks) -> tuple[object, ...]:
    summary = Summary(record.evaluation_id, record.recorded_at, marks.reference, record.pack_id, marks.day, record.counter)
    return (record.tenant, *(getattr(summary, name) for name in Summary.__slots__))

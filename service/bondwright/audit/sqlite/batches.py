"""Additions and trials written to a SQLite connection, many to a transaction, and as many records as can be in one statement."""

import sqlite3
from collections.abc import Iterator, Sequence
from functools import partial
from itertools import chain, groupby
from typing import TypeAlias

from bondwright.audit.additions import Addition, Room, Trial, first_of_each
from bondwright.audit.record import NewRecord, Once, Record
from bondwright.audit.rows.records import SELECT, record_of
from bondwright.audit.sqlite.file import SCHEMA_VERSION
from bondwright.audit.sqlite.keeping import insert, keep_in_pieces, prepare, values_of
from bondwright.audit.sqlite.transactions import Job, SqliteBatches, Transaction, lacks_room
from bondwright.errors import BondwrightError, RecordBroken, SentBefore

# Records in one statement: a power of two, so that few statements are ever prepared; and bytes, which it holds twice.
_MOST_RECORDS, _MOST_BYTES = 32, 4_000_000

Outcomes: TypeAlias = list[Record | BondwrightError | None]
"""A record for each addition, none for a trial, an error for what is refused."""


class RecordBatches:
    """Batches on one connection, which nobody else writes with."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        """Raises: sqlite3.Error."""
        prepare(connection)
        self._together: SqliteBatches[Outcomes] = SqliteBatches(connection)
        self._one_by_one: SqliteBatches[Record | None] = SqliteBatches(connection)
        self._room = Room()
        self.may_go_on = self._together.may_go_on

    def write(self, jobs: Sequence[Addition | Trial], _late: object = None, /) -> Outcomes:
        """See Batches. Nobody else writes, so there is no turn to wait for. Raises: sqlite3.Error."""
        try:
            outcomes = self._written(jobs)
        except Exception as error:
            if lacks_room(error):
                self._room.refused(jobs)
            raise
        self._room.found(outcomes)
        return outcomes

    def _written(self, jobs: Sequence[Addition | Trial]) -> Outcomes:
        room = self._room.missing if all(isinstance(job, Trial) for job in jobs) else 0
        [outcomes] = self._together.write([partial(_written, jobs, room)])
        if not isinstance(outcomes, BondwrightError):
            return outcomes
        if len(jobs) == 1:
            return [outcomes]
        # Somebody's record is refused; each on its own shows whose.
        return [*self._one_by_one.write([_alone(job) for job in jobs])]


def _alone(job: Addition | Trial) -> Job[Record | None]:
    return lambda transaction: _plainly(_written([job], 0, transaction)[0])


def _plainly(outcome: Record | BondwrightError | None) -> Record | None:
    if isinstance(outcome, BondwrightError):
        raise outcome
    return outcome


def _written(jobs: Sequence[Addition | Trial], room: int, transaction: Transaction) -> Outcomes:
    """What becomes of all of them; if it raises, it has taken back what it had done. `room`: bytes to write besides, and to forget."""
    additions = [(place, job) for place, job in enumerate(jobs) if isinstance(job, Addition)]
    if len(additions) < len(jobs):
        # Setting the version to itself rewrites the first page, so the commit goes through the log and the sync like any other.
        transaction.connection.execute(f"PRAGMA user_version = {SCHEMA_VERSION}")
    if room:
        _write_and_forget(transaction.connection, room)
    additions.sort(key=lambda one: one[1].record.tenant)
    kept: dict[int, Record] = {}
    before = dict(transaction.counters)
    # A refused record would else leave behind the pack that it was the first to cite, and those that came before it.
    transaction.connection.execute("SAVEPOINT these")
    try:
        for tenant, some in groupby(additions, key=lambda one: one[1].record.tenant):
            kept |= _of_one_tenant(tenant, list(some), transaction)
    except Exception:
        if transaction.connection.in_transaction:
            transaction.connection.execute("ROLLBACK TO these")
            transaction.connection.execute("RELEASE these")
            transaction.counters.clear()
            transaction.counters.update(before)
        raise
    transaction.connection.execute("RELEASE these")
    return [kept.get(place) for place in range(len(jobs))]


def _write_and_forget(connection: sqlite3.Connection, size: int) -> None:
    """So many bytes in a table of their own, which is gone again: free pages are all that stays."""
    connection.execute("PRAGMA secure_delete = ON")  # else pages that are free again would not be written
    connection.execute("CREATE TABLE trial (content)")
    connection.execute("INSERT INTO trial VALUES (zeroblob(?))", (size,))
    connection.execute("DROP TABLE trial")


def _of_one_tenant(tenant: str, additions: Sequence[tuple[int, Addition]], transaction: Transaction) -> dict[int, Record]:
    connection = transaction.connection
    asked = [addition.once for _, addition in additions if addition.once]
    before = {once.idempotency_key: first for once in asked if (first := answered(connection, tenant, once))}
    new = first_of_each([addition for _, addition in additions], before)
    for addition in new:
        if addition.pack_text is not None:
            _keep_pack(connection, addition.record, addition.pack_text)
    last = _last_counter(transaction, tenant)
    numbered = [(addition.record.numbered(last + n), addition) for n, addition in enumerate(new, start=1)]
    for rows in _some_at_once([values_of(record, addition) for record, addition in numbered]):
        if len(rows) == 1 and _size(rows[0]) > _MOST_BYTES:
            keep_in_pieces(connection, rows[0])
        else:
            connection.execute(insert(len(rows)), tuple(chain.from_iterable(rows)))
    requests = [(tenant, one.once.idempotency_key, one.once.request_digest, record.counter) for record, one in numbered if one.once]
    connection.executemany("INSERT INTO repeated_request VALUES (?, ?, ?, ?)", requests)
    transaction.counters[tenant] = last + len(new)
    kept = {record.evaluation_id: record for record, _ in numbered}
    by_key = before | {addition.once.idempotency_key: record for record, addition in numbered if addition.once}
    return {
        place: by_key[addition.once.idempotency_key] if addition.once else kept[addition.record.evaluation_id]
        for place, addition in additions
    }


def _some_at_once(rows: Sequence[tuple[object, ...]]) -> Iterator[Sequence[tuple[object, ...]]]:
    """Rows in as many as one statement takes."""
    at = 0
    while at < len(rows):
        some = min(_MOST_RECORDS, 1 << ((len(rows) - at).bit_length() - 1))
        while some > 1 and sum(_size(row) for row in rows[at : at + some]) > _MOST_BYTES:
            some //= 2
        yield rows[at : at + some]
        at += some


def _size(row: tuple[object, ...]) -> int:
    return sum(len(value) for value in row if isinstance(value, bytes))


def answered(connection: sqlite3.Connection, tenant: str, once: Once) -> Record | None:
    """The record that the tenant kept for that request, if there is one. Raises: SentBefore, RecordBroken; sqlite3.Error."""
    select = "SELECT request_digest, counter FROM repeated_request WHERE tenant = ? AND idempotency_key = ?"
    if not (found := connection.execute(select, (tenant, once.idempotency_key)).fetchone()):
        return None
    if found[0] != once.request_digest:
        raise SentBefore("this idempotency key came before with another request")
    return record_of(connection.execute(f"{SELECT} WHERE tenant = ? AND counter = ?", (tenant, found[1])).fetchone())


def _last_counter(transaction: Transaction, tenant: str) -> int:
    if tenant not in transaction.counters:
        query = "SELECT coalesce(max(counter), 0) FROM record WHERE tenant = ?"
        (transaction.counters[tenant],) = transaction.connection.execute(query, (tenant,)).fetchone()
    return transaction.counters[tenant]


def _keep_pack(connection: sqlite3.Connection, record: NewRecord, text: bytes) -> None:
    found = connection.execute("SELECT digest FROM pack WHERE pack_id = ?", (record.pack_id,)).fetchone()
    if not found:
        row = (record.pack_id, record.pack_digest, text, record.recorded_at)
        connection.execute("INSERT INTO pack (pack_id, digest, text, first_used_at) VALUES (?, ?, ?, ?)", row)
    elif found[0] != record.pack_digest:
        raise RecordBroken(f"not recorded: rule pack {record.pack_id} already stands for other bytes")

"""The store of records in a PostgreSQL database, for many processes on many machines."""

from functools import partial
from typing import Any

import psycopg

from bondwright.audit.additions import Addition, Trial
from bondwright.audit.marks import Told
from bondwright.audit.postgresql.batches import PostgresqlBatches
from bondwright.audit.postgresql.connection import Connection, connect, demand_fit, told
from bondwright.audit.postgresql.reader import PostgresqlReader
from bondwright.audit.record import NewRecord, Once, Record, demand_digest, marks_for
from bondwright.audit.rows.packing import packed
from bondwright.audit.writer import GroupWriter, Writing
from bondwright.errors import RecordBroken


class PostgresqlRecordStore(PostgresqlReader):
    """A RecordStore in a PostgreSQL database: one writing thread with group commit, a few connections that read.

    Several processes may share the database. When it is gone, everyone is refused until it is back; nothing has to be started anew.
    Raises, at opening: RecordBroken, if it cannot be reached, is not at our step, would not be durable, or allows us too much.
    """

    def __init__(self, address: str, patience_s: float = 5.0) -> None:
        """`address`: as libpq takes it; no error repeats it. `patience_s`: how long anything is waited for, in seconds."""
        self._packs: dict[str, tuple[str, bytes]] = {}
        try:
            batches = PostgresqlBatches(partial(_open_fit, address, patience_s))
        except psycopg.Error as error:
            raise RecordBroken(f"the database cannot be used: {told(error)}") from error
        self._batches = batches
        self._writer: GroupWriter[Addition | Trial, Any] = GroupWriter(batches)
        super().__init__(address, patience_s)

    @property
    def writing(self) -> Writing:
        """See RecordStore."""
        return self._writer.writing

    def append(self, record: NewRecord, pack_text: bytes, once: Once | None = None, told: Told | None = None) -> Record:
        """See RecordStore."""
        return self._remembered(self._writer.submit(self._addition(record, pack_text, once, told)).result(), record, pack_text)

    async def append_soon(self, record: NewRecord, pack_text: bytes, once: Once | None = None, told: Told | None = None) -> Record:
        """See RecordStore."""
        return self._remembered(await self._writer.submitted(self._addition(record, pack_text, once, told)), record, pack_text)

    def check(self) -> None:
        """See RecordStore."""
        self._writer.submit(Trial()).result()

    def close(self) -> None:
        """See RecordStore."""
        self._writer.close()
        self._batches.close()
        super().close()

    def _addition(self, record: NewRecord, pack_text: bytes, once: Once | None, told: Told | None) -> Addition:
        marks, kept = marks_for(record, told), packed(record.evaluation_bytes) if told is None else told.packed
        # A pack is some 200 kB and the same object from request to request: it is hashed and looked up until it is known to be kept.
        if self._packs.get(record.pack_id) == (record.pack_digest, pack_text):
            return Addition(record, marks, None, once, kept)
        demand_digest(f"rule pack {record.pack_id}", pack_text, record.pack_digest)
        return Addition(record, marks, pack_text, once, kept)

    def _remembered(self, kept: Record, record: NewRecord, pack_text: bytes) -> Record:
        if kept.evaluation_id == record.evaluation_id:
            self._packs[kept.pack_id] = (kept.pack_digest, pack_text)
        return kept


def _open_fit(address: str, patience_s: float) -> Connection:
    connection = connect(address, patience_s)
    # Longer than the server waits for another who is writing, for then it says so itself.
    connection.silence_s = 2 * patience_s
    try:
        demand_fit(connection)
    except BaseException:
        connection.close()
        raise
    return connection

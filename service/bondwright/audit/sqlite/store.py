"""The store of records in one SQLite file, for a single machine."""

from pathlib import Path
from typing import Any

from bondwright.audit.additions import Addition, Trial
from bondwright.audit.marks import Told
from bondwright.audit.record import NewRecord, Once, Record, demand_digest, marks_for
from bondwright.audit.rows.packing import packed
from bondwright.audit.sqlite.batches import RecordBatches
from bondwright.audit.sqlite.file import open_file
from bondwright.audit.sqlite.reader import SqliteReader
from bondwright.audit.writer import GroupWriter, Writing


class SqliteRecordStore(SqliteReader):
    """A RecordStore in one file: write-ahead log, synced at each commit, one writing thread with group commit.

    Several processes may share the file. Opening makes it, with private permissions, if it is not there.
    Raises, at opening: RecordBroken, if the file is not ours or cannot be kept durable.
    """

    def __init__(self, path: Path, patience_s: float = 5.0) -> None:
        """`patience_s`: how long a write waits, in seconds, for another process that is writing."""
        self._packs: dict[str, tuple[str, bytes]] = {}
        self._to_write = open_file(path, patience_s)
        super().__init__(open_file(path, patience_s))
        self._to_read.execute("PRAGMA query_only = ON")
        self._writer: GroupWriter[Addition | Trial, Any] = GroupWriter(RecordBatches(self._to_write))

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
        self._to_write.close()
        super().close()

    def _remembered(self, kept: Record, record: NewRecord, pack_text: bytes) -> Record:
        if kept.evaluation_id == record.evaluation_id:
            self._packs[kept.pack_id] = (kept.pack_digest, pack_text)
        return kept

    def _addition(self, record: NewRecord, pack_text: bytes, once: Once | None, told: Told | None) -> Addition:
        marks, kept = marks_for(record, told), packed(record.evaluation_bytes) if told is None else told.packed
        # A pack is some 200 kB and the same object from request to request: it is hashed and looked up until it is known to be kept.
        if self._packs.get(record.pack_id) == (record.pack_digest, pack_text):
            return Addition(record, marks, None, once, kept)
        demand_digest(f"rule pack {record.pack_id}", pack_text, record.pack_digest)
        return Addition(record, marks, pack_text, once, kept)

"""How many records a second can be kept durably, in either database: `uv run python -m tests.benchmarks.bench_record [FOLDER]`.

Group commit with 1, 16 and 128 waiters on one event loop, against one commit for each record, and against group commit that waits for
no disk, which a power cut would undo; by turns in the same run. A record is an everyday house: 37 kB of answer, some 50 marks.
SQLite's files stand in FOLDER, PostgreSQL in /tmp. Compare inside one run only: the machine and its disk decide.
"""

import asyncio
import hashlib
import itertools
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from tests.api.builders import HOUSE, service
from tests.audit.conftest import laid_out
from tests.audit.unsafe import wait_for_no_disk
from tests.postgresql_server import PostgresqlServer

from bondwright.audit.postgresql.store import PostgresqlRecordStore
from bondwright.audit.record import NewRecord
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import published_packs

SECONDS, TURNS = 2.0, 3
Store = SqliteRecordStore | PostgresqlRecordStore


@dataclass(slots=True)
class Figures:
    """Of one way to keep records: how many in how many commits and seconds, and how long each was waited for."""

    commits: int = 0
    seconds: float = 0.0
    waits: list[float] = field(default_factory=list)

    @property
    def a_second(self) -> float:
        """Records kept a second."""
        return len(self.waits) / self.seconds


def records(folder: Path) -> tuple[Callable[[], NewRecord], bytes]:
    """What gives a new record at each call, and the text of its pack."""
    bondwright = service(published_packs(rules_folder()), folder / "unused.sqlite")
    evaluated = bondwright.evaluate(HOUSE)
    bondwright.close()
    numbers = itertools.count()

    def new_record() -> NewRecord:
        return NewRecord(
            evaluation_id=f"evaluation-{next(numbers):010}",
            tenant="local",
            recorded_at="2026-11-25T09:30:00.000Z",
            salt=bytes(16),
            input_bytes=HOUSE,
            evaluation_bytes=evaluated.body,
            evaluation_digest=hashlib.sha256(evaluated.body).hexdigest(),
            pack_id=evaluated.pack.pack_id,
            pack_digest=evaluated.pack.digest,
            versions={"service": "0.1.0", "engine": "2.0.28"},
        )

    return new_record, evaluated.pack.text


async def keep(store: Store, new_record: Callable[[], NewRecord], pack_text: bytes, waiters: int, at_once: int, into: Figures) -> None:
    """`waiters` clients, each handing over its next record when its last is kept; at most `at_once` at once."""
    turn = asyncio.Semaphore(at_once)
    start, commits = time.perf_counter(), store.writing.commits

    async def client() -> None:
        while (began := time.perf_counter()) < start + SECONDS:
            async with turn:
                await store.append_soon(new_record(), pack_text)
            into.waits.append(time.perf_counter() - began)

    await asyncio.gather(*(client() for _ in range(waiters)))
    into.commits += store.writing.commits - commits
    into.seconds += time.perf_counter() - start


def compare(name: str, safe: Store, unsafe: Store, new_record: Callable[[], NewRecord], pack_text: bytes) -> None:
    """Prints a line for each number of waiters."""
    for waiters in (1, 16, 128):
        group, one_each, no_disk = Figures(), Figures(), Figures()
        for _ in range(TURNS):
            for store, at_once, into in ((safe, waiters, group), (safe, 1, one_each), (unsafe, waiters, no_disk)):
                asyncio.run(keep(store, new_record, pack_text, waiters, at_once, into))
        waits = sorted(group.waits)
        p50, p99 = (waits[len(waits) * part // 100] * 1e3 for part in (50, 99))
        print(
            f"{name:10} {waiters:3} waiting {group.a_second:7,.0f} records/s, {len(waits) / group.commits:5.1f} a commit, "
            f"{group.a_second / one_each.a_second:.2f} times one commit each, {group.a_second / no_disk.a_second:.2f} times without syncs; "
            f"wait p50 {p50:.1f} p99 {p99:.1f} ms",
            flush=True,
        )
    safe.close()
    unsafe.close()


def main(folder: Path) -> None:
    """Print the figures."""
    new_record, pack_text = records(folder)
    without_syncs = SqliteRecordStore(folder / "unsafe.sqlite")
    without_syncs._to_write.execute("PRAGMA synchronous = OFF")
    compare("SQLite", SqliteRecordStore(folder / "safe.sqlite"), without_syncs, new_record, pack_text)
    server = PostgresqlServer()
    try:
        unsafe = wait_for_no_disk(PostgresqlRecordStore(laid_out(server)))
        compare("PostgreSQL", PostgresqlRecordStore(laid_out(server)), unsafe, new_record, pack_text)
    finally:
        server.remove()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory(dir=sys.argv[1] if len(sys.argv) > 1 else None) as made:
        main(Path(made))

"""How many records a second can be kept durably: `uv run python tests/benchmarks/bench_record.py [FOLDER]`.

Group commit with 1, 16, 64 and 128 waiters on one event loop, against one commit for each record, and against group commit that
waits for no disk, which a power cut would undo; on the same disk in the same run. A record has 4 kB of input and 8 kB of evaluation.
Compare inside one run only: the flush time of the disk decides.
"""

import asyncio
import hashlib
import os
import sys
import tempfile
import time
from pathlib import Path

from bondwright.audit.record import NewRecord
from bondwright.audit.sqlite.store import SqliteRecordStore

PACK_TEXT = os.urandom(200_000)
PACK_DIGEST = hashlib.sha256(PACK_TEXT).hexdigest()
EVALUATION = os.urandom(8_000)
SECONDS = 3.0


def new_record(evaluation_id: str) -> NewRecord:
    """A record of typical size."""
    return NewRecord(
        evaluation_id=evaluation_id,
        tenant="local",
        recorded_at="2026-11-25T09:30:00.000Z",
        salt=bytes(16),
        input_bytes=EVALUATION[:4_000],
        evaluation_bytes=EVALUATION,
        evaluation_digest=hashlib.sha256(EVALUATION).hexdigest(),
        pack_id="bench-2026-r1",
        pack_digest=PACK_DIGEST,
        versions={"service": "0.1.0", "engine": "2.0.28"},
    )


def without_syncs(path: Path) -> SqliteRecordStore:
    """A store made unsafe: its commits are not waited for."""
    store = SqliteRecordStore(path)
    store._to_write.execute("PRAGMA synchronous = OFF")
    return store


async def figures(store: SqliteRecordStore, how: str, waiters: int, at_once: int) -> str:
    """One line for `waiters` clients, each handing over its next record when its last is kept; at most `at_once` at once."""
    turn = asyncio.Semaphore(at_once)
    until = time.perf_counter() + SECONDS
    waits: list[float] = []
    before = store.commits

    async def client(name: int) -> None:
        while (start := time.perf_counter()) < until:
            async with turn:
                await store.append_soon(new_record(f"{how}-{waiters}-{name}-{start}"), PACK_TEXT)
            waits.append(time.perf_counter() - start)

    await asyncio.gather(*(client(name) for name in range(waiters)))
    waits.sort()
    batch = len(waits) / (store.commits - before)
    p50, p99 = waits[len(waits) // 2] * 1e3, waits[len(waits) * 99 // 100] * 1e3
    return f"{how:13} {waiters:3} waiting {len(waits) / SECONDS:8,.0f} records/s {batch:5.1f} a commit, wait p50 {p50:.2f} p99 {p99:.2f} ms"


def main(folder: Path) -> None:
    """Print the figures."""
    safe, unsafe = SqliteRecordStore(folder / "safe.sqlite"), without_syncs(folder / "unsafe.sqlite")
    for waiters in (1, 16, 64, 128):
        print(asyncio.run(figures(safe, "one each", waiters, 1)))
        print(asyncio.run(figures(safe, "group commit", waiters, waiters)))
        print(asyncio.run(figures(unsafe, "without syncs", waiters, waiters)))
    safe.close()
    unsafe.close()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory(dir=sys.argv[1] if len(sys.argv) > 1 else None) as made:
        main(Path(made))

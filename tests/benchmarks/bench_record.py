"""How many records a second can be kept durably: `uv run python tests/benchmarks/bench_record.py [FOLDER]`.

Group commit with 1, 16 and 64 waiters on one event loop, against one commit for each record on the same disk in the same run.
A record has 4 kB of input and 8 kB of evaluation. Compare inside one run only: the flush time of the disk decides.
"""

import asyncio
import hashlib
import os
import sys
import tempfile
import time
from pathlib import Path

from bondwright.audit.record import NewRecord
from bondwright.audit.sqlite import SqliteRecordStore

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


async def figures(store: SqliteRecordStore, waiters: int, is_grouped: bool) -> str:
    """One line for `waiters` clients, each handing over its next record when its last one is durable.

    Not grouped: a record is handed over only while no other is being written.
    """
    turn = asyncio.Semaphore(waiters if is_grouped else 1)
    until = time.perf_counter() + SECONDS
    waits: list[float] = []
    before = store.commits

    async def client(name: int) -> None:
        while (start := time.perf_counter()) < until:
            async with turn:
                await store.append_soon(new_record(f"{is_grouped}-{waiters}-{name}-{start}"), PACK_TEXT)
            waits.append(time.perf_counter() - start)

    await asyncio.gather(*(client(name) for name in range(waiters)))
    waits.sort()
    batch = len(waits) / (store.commits - before)
    p50, p99 = waits[len(waits) // 2] * 1e3, waits[len(waits) * 99 // 100] * 1e3
    how = "group commit" if is_grouped else "one each"
    return f"{how:12} {waiters:3} waiting {len(waits) / SECONDS:8,.0f} records/s {batch:5.1f} a commit, wait p50 {p50:.2f} p99 {p99:.2f} ms"


def main(folder: Path) -> None:
    """Print the figures."""
    store = SqliteRecordStore(folder / "records.sqlite")
    for waiters in (1, 16, 64):
        for is_grouped in (False, True):
            print(asyncio.run(figures(store, waiters, is_grouped)))
    store.close()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory(dir=sys.argv[1] if len(sys.argv) > 1 else None) as made:
        main(Path(made))

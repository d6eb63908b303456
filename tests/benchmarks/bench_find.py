"""How long it takes to find records, and what keeping the index costs: `uv run python -m tests.benchmarks.bench_find [FOLDER [RECORDS]]`.

Finding: each filter, first and last page, in a store of 20,000 records, beside a scan that reads every stored answer and looks into it.
Appending: 64 waiters, with the index and without it (the statement that version 1 of the file used, in a file of that version), by turns.
An answer has 20 kB, 20 rules, 12 clauses and 10 levels, the medians of the shipped cases. Compare inside one run only.
"""

import asyncio
import hashlib
import itertools
import json
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import orjson
from tests.audit.first_version import write_first_version

from bondwright.audit.record import NewRecord, Search
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.audit.sqlite.transactions import Job, SqliteBatches, Transaction
from bondwright.audit.writer import GroupWriter

PACKS = {f"bench-{number}-r1": f"rule pack {number}".encode() * 10_000 for number in range(3)}
SECONDS = 4.0
WAITERS = 64
PADDING = "x" * 18_000
_NUMBERS = itertools.count()


def answer(number: int, pack_id: str) -> bytes:
    """An answer of typical size; one rule in three acts in it, one of a hundred rare ones, and one level is rare too."""
    rules = [f"some-rule-about-{rule}" for rule in range(number % 3, 57, 3)] + [f"rare-{number % 100}"]
    reasons = [{"rule": rule, "pack_id": pack_id, "clause": f"410.{n % 12}"} for n, rule in enumerate(rules)]
    levels: list[dict[str, Any]] = [{"outcome": f"outcome_{n}", "act_on": f"level_{number % 4}", "because": []} for n in range(9)]
    levels.append({"outcome": "rare_outcome", "act_on": str(number % 100), "because": reasons})
    said = {"reference": f"House {number // 2}", "pack": {"chosen_on": "2026-11-25"}, "parts": levels, "padding": PADDING}
    return orjson.dumps(said)


def new_record() -> tuple[NewRecord, bytes]:
    """The next record, and the text of its pack."""
    number = next(_NUMBERS)
    pack_id = list(PACKS)[number % len(PACKS)]
    content = answer(number, pack_id)
    record = NewRecord(
        evaluation_id=f"evaluation-{number:08}",
        tenant="local",
        recorded_at=f"2026-{1 + number // 2500 % 12:02}-{1 + number // 100 % 25:02}T09:30:00.000Z",
        salt=bytes(16),
        input_bytes=b"x" * 2_000,
        evaluation_bytes=content,
        evaluation_digest=hashlib.sha256(content).hexdigest(),
        pack_id=pack_id,
        pack_digest=hashlib.sha256(PACKS[pack_id]).hexdigest(),
        versions={"service": "0.1.0"},
    )
    return record, PACKS[pack_id]


async def fill(store: SqliteRecordStore, count: int) -> None:
    """Appends `count` records."""
    for _ in range(0, count, WAITERS):
        await asyncio.gather(*(store.append_soon(*new_record()) for _ in range(WAITERS)))


def median_ms(work: Callable[[], object], times: int) -> float:
    """Half of the runs are faster."""
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        spent.append(time.perf_counter() - start)
    return sorted(spent)[times // 2] * 1e3


def finding(store: SqliteRecordStore, path: Path, count: int) -> None:
    """Prints a line for each filter."""
    reading = sqlite3.connect(path)

    def scan() -> int:
        rows = reading.execute("SELECT evaluation_bytes FROM record WHERE tenant = 'local' ORDER BY counter")
        return sum(b'"rule":"rare-7"' in content for (content,) in rows)

    scanned = median_ms(scan, 3)
    print(f"{'scan of every answer':44} {scanned:9.2f} ms")
    searches = {
        "everything": Search(),
        "reference": Search(reference="House 77"),
        "pack": Search(pack="bench-1-r1"),
        "rule, rare": Search(rule="rare-7"),
        "rule, one record in three": Search(rule="some-rule-about-30"),
        "rule of a pack": Search(rule="some-rule-about-30", pack="bench-0-r1"),
        "rule of a pack, no such": Search(rule="some-rule-about-30", pack="bench-1-r1"),
        "clause": Search(clause="410.1"),
        "level, rare": Search(level=("rare_outcome", "7")),
        "level, one record in four": Search(level=("outcome_3", "level_1")),
        "one day": Search(recorded_from="2026-03-05", recorded_to="2026-03-06"),
        "half of all time": Search(recorded_to="2026-05-01"),
        "rule and level that never meet": Search(rule="some-rule-about-30", level=("rare_outcome", "7"), clause="none"),
    }
    for name, wanted in searches.items():
        for where, after in (("first page", 0), ("late page", count * 9 // 10)):
            spent = median_ms(lambda wanted=wanted, after=after: store.find("local", wanted, after, 20), 25)  # type: ignore[misc]
            print(f"{name + ', ' + where:44} {spent:9.3f} ms, a scan takes {scanned / spent:9,.0f} times as long")
    reading.close()


async def appended(keep: Callable[[NewRecord, bytes], Any]) -> float:
    """Records kept a second by 64 waiters."""
    until = time.perf_counter() + SECONDS
    kept = 0

    async def client() -> None:
        nonlocal kept
        while time.perf_counter() < until:
            await keep(*new_record())
            kept += 1

    await asyncio.gather(*(client() for _ in range(WAITERS)))
    return kept / SECONDS


def appending(store: SqliteRecordStore, folder: Path) -> None:
    """Prints how many records a second are kept with the index and without."""
    without, connection = _without(folder / "without.sqlite")
    counters = itertools.count(1)

    def keep(record: NewRecord, _: bytes) -> Any:
        def insert(transaction: Transaction) -> None:
            row = (record.evaluation_id, record.tenant, next(counters), record.recorded_at, record.pack_id, record.pack_digest)
            rest = (json.dumps(record.versions), record.evaluation_digest, record.salt, record.input_bytes, record.evaluation_bytes)
            transaction.connection.execute(f"INSERT INTO record VALUES ({', '.join('?' * 11)})", (*row, *rest))

        return asyncio.wrap_future(without.submit(insert))

    for _ in range(2):
        plain, indexed = asyncio.run(appended(keep)), asyncio.run(appended(store.append_soon))
        print(f"appended without the index {plain:7,.0f} a second, with it {indexed:7,.0f}: ratio {indexed / plain:.2f}")
    without.close()
    connection.close()


def _without(path: Path) -> tuple[GroupWriter[Job[None], None], sqlite3.Connection]:
    connection = write_first_version(path, [], leave_open=True)
    connection.close()
    connection = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
    connection.execute("PRAGMA synchronous = FULL")
    for pack_id, text in PACKS.items():
        connection.execute("INSERT INTO pack VALUES (?, ?, ?, ?)", (pack_id, hashlib.sha256(text).hexdigest(), "", text))
    return GroupWriter(SqliteBatches(connection)), connection


def main(folder: Path, count: int) -> None:
    """Print the figures."""
    store = SqliteRecordStore(folder / "records.sqlite")
    asyncio.run(fill(store, count))
    finding(store, folder / "records.sqlite", count)
    appending(store, folder)
    store.close()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory(dir=sys.argv[1] if len(sys.argv) > 1 else None) as made:
        main(Path(made), int(sys.argv[2]) if len(sys.argv) > 2 else 20_000)

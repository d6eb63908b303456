"""What comparing every record with a candidate pack costs: `uv run python -m tests.benchmarks.bench_impact [RECORDS [FOLDER [DIFFERENT]]]`.

A store of RECORDS evaluations (2,000 if nothing is said) of DIFFERENT descriptions (all, if nothing is said): the shipped cases and their
near misses, each with up to three answers of yes, no and unknown, the size of the neutral and the day of the work changed at random; one
day in ten lies before the newest edition.
Then `impact` of a copy of the newest pack with one cell changed, its progress kept. Beside it, in the same run, what evaluating the same
descriptions cost: by every pack that is lawful on the day, as a request gets it; and every ninth by the one pack that decides. All begin
with nothing remembered.
"""

import asyncio
import random
import resource
import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import orjson
from tests.core.cases import EDITION, cases
from tests.rules.revisions import newest

from bondwright.assembly import TENANT, Bondwright, Evaluated, build
from bondwright.assembly.answers import Answers
from bondwright.assembly.parts import HANG_LIMIT_S
from bondwright.assembly.recording import record_of
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.cases.reading import changed
from bondwright.engine.channels import TwoChannels
from bondwright.errors import Refused
from bondwright.evaluate.order import evaluate
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import RulePack
from bondwright.settings import Settings
from bondwright.shelf.packs import load_pack

TOLD = ("yes", "no", "unknown")
NEUTRALS_MM2 = (16, 25, 35, 50, 70)
WAITERS = 64
ONE_IN = 9
"""Shares no factor with the number of bases, so that each gets its turn."""
WAS, NOW = b"rows: [[35, 10], [50, 16]", b"rows: [[35, 16], [50, 16]"


def described(number: int, bases: list[Any], attempt: int = 0) -> bytes:
    """The description of that number, always the same; another attempt changes other facts."""
    chance = random.Random(number * 100 + attempt)
    base = bases[number % len(bases)]
    flags = [pointer for pointer, value in leaves("", base) if value in TOLD]
    change: dict[str, Any] = {pointer: chance.choice(TOLD) for pointer in chance.sample(flags, min(len(flags), chance.randint(0, 3)))}
    if isinstance(base.get("supply", {}).get("neutral"), dict):
        change["/supply/neutral/size"] = chance.choice(NEUTRALS_MM2)
    field = next(name for name in base["work"] if name.endswith("_on"))
    day = date(2019, 2, 1) if chance.random() < 0.1 else date(2026, 6, 1) + timedelta(chance.randrange(170))
    dated = {"work": base["work"] | {field: day.isoformat()}, "reference": f"House {number}"}
    return orjson.dumps(changed(base, change) | dated)


def leaves(pointer: str, value: Any) -> Iterator[tuple[str, Any]]:
    """Each text or number in a document, with its JSON Pointer."""
    if isinstance(value, dict | list):
        for key, inner in value.items() if isinstance(value, dict) else enumerate(value):
            yield from leaves(f"{pointer}/{key}", inner)
    else:
        yield pointer, value


def evaluated(service: Bondwright, number: int, bases: list[Any]) -> tuple[Evaluated, bytes, float]:
    """The answer to the description of that number, its bytes, and how long the evaluation alone took, in seconds."""
    for attempt in range(50):
        raw = described(number, bases, attempt)
        begun = time.perf_counter()
        try:
            answer = service.evaluate(raw)
        except Refused:
            continue
        return answer, raw, time.perf_counter() - begun
    raise SystemExit(f"no change of base {number % len(bases)} was accepted")


def fill(folder: Path, count: int, different: int) -> tuple[float, float, float]:
    """Seconds that evaluating the `different` descriptions took, by all lawful packs and by one; the megabytes of the file.

    Each is recorded again and again until there are `count` records.
    """
    bases = [one for case in cases() for one in (case.claim.installation, case.near_miss.installation)]
    spent = alone = 0.0
    kept: dict[str, tuple[RulePack, TwoChannels]] = {}
    known: list[tuple[Evaluated, bytes]] = []

    def by_one_pack(answer: Evaluated) -> float:
        if answer.pack.digest not in kept:
            # A pack read anew, for a pack remembers what was concluded by it.
            pack = load_pack(answer.pack.text, answer.pack.pack_id)
            kept[pack.digest] = (pack, TwoChannels(pack, Kept(), hang_limit_s=HANG_LIMIT_S))
        pack, channels = kept[answer.pack.digest]
        begun = time.perf_counter()
        evaluate(answer.installation, pack, channels.acts)
        return time.perf_counter() - begun

    async def append(store: SqliteRecordStore, service: Bondwright, numbers: range) -> None:
        nonlocal spent, alone
        waiting = []
        for number in numbers:
            if number < different:
                answer, raw, seconds = evaluated(service, number, bases)
                known.append((answer, raw))
                spent += seconds
                alone += by_one_pack(answer) if number % ONE_IN == 0 else 0.0
            answer, raw = known[number % different]
            now = datetime(2026, 11, 25, tzinfo=UTC) + timedelta(seconds=number)
            given = Answers(None, (), ()).keep(TENANT, raw, answer.pack, answer.evaluation, answer.body)
            record = record_of(given, raw, TENANT, f"evaluation-{number:08}", now, bytes(16), {"service": "bench"})
            waiting.append(store.append_soon(record, answer.pack.text))
        await asyncio.gather(*waiting)

    with closing(build(Settings(folder))) as service, closing(SqliteRecordStore(folder / "record.sqlite")) as store:
        for first in range(0, count, WAITERS):
            asyncio.run(append(store, service, range(first, min(first + WAITERS, count))))
    for _, channels in kept.values():
        channels.close()
    return spent, alone * ONE_IN, (folder / "record.sqlite").stat().st_size / 1e6


def peak_mb() -> float:
    """The most memory that this process has had, in megabytes."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


class Marks:
    """Prints what the records cost at a quarter, at half and at the end."""

    def __init__(self, count: int) -> None:
        self._at = {count // 4, count // 2, count - 1}
        self._last, self._begun, self._peak = 0, time.perf_counter(), peak_mb()

    def __call__(self, done: int, of: int) -> bool:
        if done in self._at:
            now = time.perf_counter()
            spent_ms = (now - self._begun) * 1e3 / max(done - self._last, 1)
            print(
                f"impact, records {self._last:7,} to {done:7,} of {of:,}: {spent_ms:6.3f} ms each, peak {peak_mb() - self._peak:+7.1f} MB"
            )
            self._last, self._begun = done, now
        return True


def marks_ms(folder: Path, count: int) -> float:
    """How long reading what one record is found by takes, as `replay --all` does for each; half of them are faster."""
    with closing(SqliteRecordStore(folder / "record.sqlite")) as store:
        spent = []
        for counter in range(1, count, max(count // 50, 1)):
            begun = time.perf_counter()
            store.marks("local", counter)
            spent.append(time.perf_counter() - begun)
    return sorted(spent)[len(spent) // 2] * 1e3


def main(folder: Path, count: int, different: int) -> None:
    """Print the figures."""
    # In a process of its own, so that its memory does not count.
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as other:
        spent, alone, size_mb = other.submit(fill, folder, count, different).result()
    every_ms, one_ms = spent / different * 1e3, alone / different * 1e3
    print(f"{count:,} records of {different:,} descriptions, {size_mb:,.0f} MB")
    print(f"evaluated by all lawful packs {every_ms:.3f} ms each, by one pack {one_ms:.3f} ms")
    text = newest(EDITION).text
    assert WAS in text
    candidate = load_pack(text.replace(WAS, NOW), "candidate.yaml")
    with closing(build(Settings(folder), candidate=candidate)) as service:
        begun = time.perf_counter()
        impact = service.impact(candidate, folder / "progress.json", Marks(count))
        each_ms = (time.perf_counter() - begun) / count * 1e3
    print(f"impact {each_ms:.3f} ms each: {each_ms / every_ms:.2f} times all lawful packs, {each_ms / one_ms:.2f} times one pack")
    print(", ".join(f"{number:,} {name.replace('_', ' ')}" for name, number in impact.tally.records.items()))
    print(f"what one record is found by, read from the index: {marks_ms(folder, count):.2f} ms")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory(dir=sys.argv[2] if len(sys.argv) > 2 else None) as made:
        records = int(sys.argv[1]) if len(sys.argv) > 1 else 2_000
        main(Path(made), records, min(records, int(sys.argv[3]) if len(sys.argv) > 3 else records))

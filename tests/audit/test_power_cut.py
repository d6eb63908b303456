"""What is acknowledged survives a power cut: the writes and syncs of a real run, and what a disk would hold had it been cut between them.

A kill cannot show this, since the system keeps what it was told. Each claim has a control without the syncs, which must lose.
"""

import random
import sqlite3
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from tests.audit.disk_model import Disk
from tests.audit.traced_calls import Call, traced

from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.errors import RecordBroken

CUTS = 40
RECORDS_PER_THREAD = 25
APPENDER = str(Path(__file__).with_name("append_and_acknowledge.py"))
UNSAFE = pytest.mark.parametrize("synchronous", ["NORMAL", "OFF"])


@dataclass(frozen=True, slots=True)
class Run:
    """The calls of a process that appended to the file at `path` until it had enough."""

    path: Path
    calls: Sequence[Call]


@pytest.fixture(scope="module")
def run_with(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Run]:
    """A run with SQLite's setting `synchronous`, made once; all syncs of each thread fail from its tenth if told so after a comma."""

    @cache
    def run(setting: str) -> Run:
        synchronous, _, syncs_fail = setting.partition(", ")
        path = tmp_path_factory.mktemp(synchronous) / "records.sqlite"
        options = ("-e", "inject=fdatasync,fsync:error=EIO:when=10+") if syncs_fail else ()
        return Run(path, traced([APPENDER, str(path), synchronous, str(RECORDS_PER_THREAD), "after"], path.parent, *options))

    return run


@pytest.mark.parametrize("surviving", [0.0, 0.5, 1.0], ids=["nothing", "half", "all"])
def test_a_power_cut_loses_nothing_acknowledged_whatever_survives_of_the_rest(
    run_with: Callable[[str], Run], tmp_path: Path, surviving: float
) -> None:
    outcomes = _cut(run_with("FULL"), tmp_path, surviving)

    assert sum(outcome.acknowledged for outcome in outcomes) > 20 * CUTS
    assert [outcome for outcome in outcomes if outcome.fault or outcome.lost] == []


def test_a_power_cut_after_syncs_that_failed_loses_nothing_acknowledged(run_with: Callable[[str], Run], tmp_path: Path) -> None:
    outcomes = _cut(run_with("FULL, syncs fail"), tmp_path, 0.0)

    assert sum(outcome.acknowledged for outcome in outcomes) > CUTS
    assert [outcome for outcome in outcomes if outcome.fault or outcome.lost] == []


@UNSAFE
def test_without_a_sync_at_each_commit_a_power_cut_loses_records(run_with: Callable[[str], Run], tmp_path: Path, synchronous: str) -> None:
    outcomes = _cut(run_with(synchronous), tmp_path, 0.0)

    assert sum(outcome.lost for outcome in outcomes) > CUTS


def test_no_answer_leaves_before_the_log_that_holds_its_record_is_synced(run_with: Callable[[str], Run]) -> None:
    answers, too_early = _answers(run_with("FULL"))

    assert (answers, too_early) == (8 * RECORDS_PER_THREAD, 0)


@UNSAFE
def test_without_a_sync_at_each_commit_answers_leave_too_early(run_with: Callable[[str], Run], synchronous: str) -> None:
    answers, too_early = _answers(run_with(synchronous))

    assert answers == 8 * RECORDS_PER_THREAD
    assert too_early > answers / 2


@dataclass(frozen=True, slots=True)
class _Outcome:
    """What a cut left: how many records had been acknowledged, how many of them are not there, and what else is wrong."""

    acknowledged: int
    lost: int
    fault: str


def _cut(run: Run, folder: Path, surviving: float) -> list[_Outcome]:
    """Cuts the run's power at seeded moments, spread over all of it; `surviving`: the part of what is not synced that survives."""
    chance = random.Random(5)
    moments = set(chance.sample(range(len(run.calls)), CUTS))
    disk, acknowledged, outcomes = Disk(str(run.path.parent)), set[str](), []
    for moment, call in enumerate(run.calls):
        if call.kind == "say" and not call.content.startswith(b"refused: "):
            acknowledged.add(call.content.decode().strip())
        disk.does(call)
        if moment in moments:
            files = disk.after_a_cut(lambda: chance.random() < surviving)
            with TemporaryDirectory(dir=folder) as after:
                outcomes.append(_outcome(files, Path(after), acknowledged))
    return outcomes


def _outcome(files: dict[str, bytes], folder: Path, acknowledged: set[str]) -> _Outcome:
    for name, content in files.items():
        (folder / Path(name).name).write_bytes(content)
    path = folder / "records.sqlite"
    try:
        store = SqliteRecordStore(path)
        kept = [(record.evaluation_id, record.counter) for record in store.page("local", None, 1_000_000)]
        store.close()
    except RecordBroken as error:
        return _Outcome(len(acknowledged), len(acknowledged), str(error))
    lost = acknowledged - {evaluation_id for evaluation_id, _ in kept}
    gap = "" if [counter for _, counter in kept] == list(range(1, len(kept) + 1)) else "a gap in the counters; "
    return _Outcome(len(acknowledged), len(lost), gap + _damage(path))


def _damage(path: Path) -> str:
    connection = sqlite3.connect(path)
    said = [*connection.execute("PRAGMA integrity_check").fetchall(), *connection.execute("PRAGMA foreign_key_check").fetchall()]
    connection.close()
    return "" if said == [("ok",)] else str(said)


def _answers(run: Run) -> tuple[int, int]:
    """How many answers left, and how many of them before a sync of the log had begun after, and ended before, with their record in it."""
    log = f"{run.path}-wal"
    writes = [call for call in run.calls if (call.kind, call.path) == ("write", log)]
    syncs = [call for call in run.calls if (call.kind, call.path) == ("sync", log)]
    answers = [call for call in run.calls if call.kind == "say"]
    too_early = 0
    for answer in answers:
        evaluation_id = answer.content.strip()
        written = next(write.ended for write in writes if evaluation_id in write.content)
        too_early += not any(written < sync.began and sync.ended < answer.began for sync in syncs)
    return len(answers), too_early

"""`bondwright impact --progress`: stopped at any moment, it goes on to the very same report."""

import asyncio
import json
import signal
import sqlite3
import subprocess
from contextlib import closing
from pathlib import Path

import pytest
from tests import forked
from tests.api.builders import service
from tests.cli.command import HOUSE, started_afresh
from tests.rules.revisions import newest_published

from bondwright.assembly import Bondwright, build
from bondwright.audit.record import NewRecord
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.cli import main
from bondwright.errors import UnusableProgress
from bondwright.members import replace
from bondwright.rulebook.pack import PackHead
from bondwright.settings import Settings
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import on_shelf

EDITION = "bs7671-2018-a4"
RECORDS = 250
CHILD = Path(__file__).with_name("until_signalled.py")


def submitted(made: Bondwright, day: str, reference: str) -> NewRecord:
    """The record of the everyday house, inspected on that day."""
    described = json.loads(HOUSE.read_bytes()) | {"reference": reference, "work": {"kind": "inspection", "inspected_on": day}}
    kept = asyncio.run(made.submit(json.dumps(described).encode()))
    record, _ = made.record(kept.evaluation_id)
    return NewRecord(**{name: getattr(record, name) for name in NewRecord.__slots__})


def append_copies(folder: Path, made: Bondwright, records: list[NewRecord], count: int) -> None:
    """Appends `count` records like these, by turns."""

    async def append(store: SqliteRecordStore) -> None:
        copies = [replace(records[number % len(records)], evaluation_id=f"copy-{number:04}") for number in range(count)]
        await asyncio.gather(*(store.append_soon(one, made.pack(one.pack_id).text) for one in copies))

    with closing(SqliteRecordStore(folder / "record.sqlite")) as store:
        asyncio.run(append(store))


@pytest.fixture(scope="module")
def data(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a record of some hundred evaluations, and the file of a pack that says otherwise of most of them."""
    folder = tmp_path_factory.mktemp("data")
    with closing(build(Settings(folder))) as made:
        records = [submitted(made, day, day) for day in ("2026-11-25", "2026-11-26", "2019-03-01")]
        records.append(replace(records[0], input_bytes=b"no description"))
        append_copies(folder, made, records, RECORDS)
        text = made.pack(records[0].pack_id).text
    assert b"rows: [[35, 10], [50, 16]" in text
    (folder / "candidate.yaml").write_bytes(text.replace(b"rows: [[35, 10], [50, 16]", b"rows: [[35, 16], [50, 16]"))
    return folder


@pytest.fixture(scope="module")
def uninterrupted(data: Path) -> bytes:
    """The report of one run without a progress file, from a true start."""
    return started_afresh(*arguments(data)).stdout


def arguments(data: Path, file: Path | None = None) -> list[str]:
    """What asks for the comparison, its progress kept in `file`."""
    plain = ["impact", "--pack", str(data / "candidate.yaml"), "--data", str(data), "--format", "json"]
    return plain if file is None else [*plain, "--progress", str(file)]


def run(data: Path, file: Path, number: int = 0, at: int = 0) -> subprocess.CompletedProcess[bytes]:
    """The command in a process of its own, which gets signal `number` when it writes its progress for the time `at`."""
    return forked.run([CHILD, "os.rename", str(int(number)), str(at), *arguments(data, file)])


def test_the_report_counts_every_record(uninterrupted: bytes) -> None:
    records = json.loads(uninterrupted)["records"]

    assert sum(records[name] for name in ("judged", "not_touched", "not_evaluated")) == RECORDS + 3
    assert min(records[name] for name in ("changed", "not_touched", "not_evaluated")) > RECORDS // 5


def test_keeping_progress_changes_nothing_in_the_report(data: Path, uninterrupted: bytes, tmp_path: Path) -> None:
    first, again = (run(data, tmp_path / "progress.json") for _ in range(2))

    assert [uninterrupted, uninterrupted] == [first.stdout, again.stdout]
    assert [path.name for path in tmp_path.iterdir()] == ["progress.json"]


@pytest.mark.parametrize("at", [2, 4])
def test_a_killed_run_goes_on_to_the_same_report(at: int, data: Path, uninterrupted: bytes, tmp_path: Path) -> None:
    killed = run(data, tmp_path / "progress.json", signal.SIGKILL, at)
    resumed = run(data, tmp_path / "progress.json")

    assert (killed.returncode, killed.stdout) == (-signal.SIGKILL, b"")
    assert (resumed.returncode, resumed.stdout) == (0, uninterrupted)


def test_a_run_killed_again_and_again_comes_to_the_same_report(data: Path, uninterrupted: bytes, tmp_path: Path) -> None:
    # The first time a run writes, it has only read; the second time it has 100 records more than the one before, the third 200.
    statuses = [run(data, tmp_path / "progress.json", signal.SIGKILL, at).returncode for at in (1, 3, 3)]
    resumed = run(data, tmp_path / "progress.json")

    assert statuses == [-signal.SIGKILL] * 3
    assert (resumed.returncode, resumed.stdout) == (0, uninterrupted)


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_run_that_is_asked_to_stop_keeps_what_it_did_and_says_so(
    number: signal.Signals, data: Path, uninterrupted: bytes, tmp_path: Path
) -> None:
    stopped = run(data, tmp_path / "progress.json", number, 2)
    done = json.loads((tmp_path / "progress.json").read_bytes())["progress"]["done"]
    resumed = run(data, tmp_path / "progress.json")

    assert (stopped.returncode, stopped.stdout) == (128 + number, b"")
    assert f"stopped after {done} of {RECORDS + 3} records; the same call goes on from there" in stopped.stderr.decode()
    assert (resumed.returncode, resumed.stdout) == (0, uninterrupted)
    assert resumed.stderr.decode().splitlines()[0] == f"{done} of {RECORDS + 3} records"


@pytest.fixture(scope="module")
def packs() -> tuple[PackHead, ...]:
    """The published packs, with the rules of the newest, which is the candidate."""
    candidate = newest_published(EDITION)
    return tuple(candidate if pack.pack_id == candidate.pack_id else pack for pack in on_shelf(rules_folder()))


@pytest.fixture
def begun(packs: tuple[PackHead, ...], tmp_path: Path) -> Path:
    """A folder with one record, and the progress of a comparison with the newest pack that is done."""
    with closing(service(packs, tmp_path / "record.sqlite")) as made:
        submitted(made, "2026-11-25", "first")
        made.impact(made.pack(newest_published(EDITION).pack_id), tmp_path / "progress.json")
    return tmp_path


def test_what_is_recorded_between_is_counted_too(packs: tuple[PackHead, ...], begun: Path) -> None:
    with closing(service(packs, begun / "record.sqlite")) as made:
        submitted(made, "2026-11-25", "second")
        resumed, anew = (made.impact(made.pack(newest_published(EDITION).pack_id), file) for file in (begun / "progress.json", None))

    assert (resumed, anew.done) == (anew, 2)


@pytest.mark.parametrize("references", [[], ["other"], ["other", "another"]])
def test_the_progress_over_other_records_is_refused(references: list[str], packs: tuple[PackHead, ...], begun: Path) -> None:
    with closing(service(packs, begun / "other.sqlite")) as made:
        for reference in references:
            submitted(made, "2026-11-25", reference)

        with pytest.raises(UnusableProgress, match="progress over other records than are kept here; name a file"):
            made.impact(made.pack(newest_published(EDITION).pack_id), begun / "progress.json")


def test_the_progress_of_another_candidate_is_a_wrong_call(data: Path, begun: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = (begun / "progress.json").read_bytes()

    status = main(arguments(data, begun / "progress.json"))

    told = capsys.readouterr()
    assert (status, told.out, (begun / "progress.json").read_bytes()) == (2, "", before)
    assert "progress.json: is the progress of another comparison (rule pack bs7671-" in told.err


def test_a_record_that_is_broken_or_gone_is_counted_as_not_evaluated(packs: tuple[PackHead, ...], tmp_path: Path) -> None:
    with closing(service(packs, tmp_path / "record.sqlite")) as made:
        for reference in ("first", "broken", "gone", "last"):
            submitted(made, "2026-11-25", reference)
        with closing(sqlite3.connect(tmp_path / "record.sqlite", isolation_level=None)) as stranger:
            for (name,) in stranger.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall():
                stranger.execute(f"DROP TRIGGER {name}")
            stranger.execute("UPDATE record SET evaluation_bytes = x'00' WHERE counter = 2")
            stranger.execute("DELETE FROM record WHERE counter = 3")

        records = made.impact(made.pack(newest_published(EDITION).pack_id)).tally.records

    assert (records["judged"], records["same"], records["not_evaluated"]) == (2, 2, 2)

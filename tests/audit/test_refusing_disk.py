"""A disk that is full, read-only or broken: a clear refusal, nothing half-written, and work again by itself when there is room."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from tests.audit.traced_calls import traced

from bondwright.audit.sqlite.store import SqliteRecordStore

ROOT = Path(__file__).parents[2]
APPENDER = str(Path(__file__).with_name("append_and_acknowledge.py"))
SERVER = str(Path(__file__).with_name("serve_on_a_full_disk.py"))
BREAKING = str(Path(__file__).with_name("serve_on_a_broken_disk.py"))

RECORDED = [201, "application/json", 200]
REFUSED = [503, "application/problem+json", 503]


@pytest.fixture(scope="module")
def met(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """What callers of a service met whose record stands on a disk of 3 MB; see the script."""
    folder = str(tmp_path_factory.mktemp("disk"))
    mount = ["unshare", "--mount", "sh", "-c", 'mount -t tmpfs -o size=3m tmpfs "$0" && exec "$@"', folder]
    trial = subprocess.run([*mount, "true"], capture_output=True, text=True, timeout=60)
    if trial.returncode:
        pytest.skip(f"no disk of our own can be mounted here, which root may: {trial.stderr.strip()}")
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    run = subprocess.run([*mount, sys.executable, SERVER, folder], stdout=subprocess.PIPE, env=environment, timeout=300, check=True)
    found: dict[str, Any] = json.loads(run.stdout)
    return found


def test_a_full_disk_is_a_503_and_the_service_is_not_ready(met: dict[str, Any]) -> None:
    assert met["filled"] == [REFUSED] * 3


def test_a_record_that_no_longer_fits_is_a_503_and_the_service_is_not_ready_until_one_would(met: dict[str, Any]) -> None:
    assert met["until the log has filled the disk"] == REFUSED
    assert met["ready while the log has filled the disk"] == [503] * 3
    assert met["ready as soon as it is enlarged"] == 200


def test_a_service_started_on_a_full_disk_records_as_soon_as_there_is_room(met: dict[str, Any]) -> None:
    assert (met["opened on a full disk"], met["emptied before anything was kept"]) == (REFUSED, RECORDED)


@pytest.mark.parametrize("change", ["emptied", "enlarged"])
def test_when_there_is_room_again_the_service_records_without_being_started_anew(met: dict[str, Any], change: str) -> None:
    assert met[change] == RECORDED


def test_a_record_on_a_read_only_disk_is_a_503_until_the_disk_is_writable(met: dict[str, Any]) -> None:
    assert (met["read-only"], met["writable"]) == (REFUSED, RECORDED)


def test_through_full_and_read_only_disks_just_what_was_answered_is_kept(met: dict[str, Any]) -> None:
    assert met["answered"] > 5
    assert (met["kept"], met["read back alike"]) == (met["answered"], met["answered"])
    assert (met["without a gap"], met["integrity"]) == (True, [["ok"]])


def test_a_full_disk_leaves_a_transaction_half_written_where_nothing_can_take_it_back(met: dict[str, Any]) -> None:
    assert met["half-written"]["WAL"] == 0
    assert met["half-written"]["OFF"] > 0


@pytest.mark.parametrize("fault", ["pwrite64:error=EROFS:when=150+", "pwrite64:error=EIO:when=150+", "fdatasync:error=EIO:when=10+"])
def test_a_disk_that_breaks_at_work_loses_nothing_acknowledged_and_says_so(tmp_path: Path, fault: str) -> None:
    path = tmp_path / "records.sqlite"

    calls = traced([APPENDER, str(path), "FULL", "100", "after"], tmp_path, "-e", f"inject={fault}")
    said = [call.content.decode().strip() for call in calls if call.kind == "say"]
    refusals = [line for line in said if line.startswith("refused: ")]
    store = SqliteRecordStore(path)
    kept = {record.evaluation_id for record in store.page("local", None, 1_000_000)}
    store.close()

    assert len(said) > len(refusals) == 8
    assert [line for line in refusals if not re.match("refused: RecordBroken: .*: disk I/O error$", line)] == []
    assert set(said) - set(refusals) - kept == set()


def rounds_of(fault: str, folder: Path) -> tuple[list[str], list[Any]]:
    """What callers met, a round each, as statuses of an evaluation and of readiness; how many were answered, read back alike, and kept."""
    calls = traced([BREAKING, str(folder / "record.sqlite"), "30"], folder, "-e", f"inject={fault}")
    *met, found = "".join(call.content.decode() for call in calls if call.kind == "say").splitlines()
    return met, json.loads(found)


def in_turn(met: list[str]) -> list[str]:
    """What was met, what is met again and again once."""
    return [one for at, one in enumerate(met) if at == 0 or met[at - 1] != one]


# What was not written was not acknowledged, and what was synced before still is: whether a trial is kept shows how the disk is now.
@pytest.mark.parametrize("error", ["EIO", "EDQUOT"])
def test_while_a_disk_refuses_to_be_written_to_nothing_is_ready_and_then_it_is_by_itself(error: str, tmp_path: Path) -> None:
    met, (answered, alike, kept) = rounds_of(f"pwrite64:error={error}:when=300..315", tmp_path)

    assert [one for one in in_turn(met) if one not in ("201 503", "503 200")] == ["201 200", "503 503", "201 200"]
    assert sum(one.startswith("201") for one in met) == answered == alike
    assert kept == list(range(1, answered + 1))


# Whether anything reached a disk that failed to sync, nobody can say afterwards, however well it syncs the next time.
def test_after_a_failed_sync_nothing_is_ready_until_it_is_started_anew(tmp_path: Path) -> None:
    met, (answered, alike, kept) = rounds_of("fdatasync:error=EIO:when=20", tmp_path)

    assert in_turn(met)[-1] == "503 503" and met.count("503 503") > 10
    assert sum(one.startswith("201") for one in met) == answered == alike > 3
    assert kept[:answered] == list(range(1, answered + 1))

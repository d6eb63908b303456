"""A database whose disk is full: a clear refusal, nothing half-written, and work again by itself when there is room."""

import json
import os
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
SERVER = str(Path(__file__).with_name("serve_from_a_full_postgresql.py"))


@pytest.fixture(scope="module")
def met() -> dict[str, Any]:
    """What callers of a service met whose database stands on a small disk, and what is kept; see the script."""
    # Not one of pytest's folders: the server, which may not be root, must be able to get there.
    with TemporaryDirectory(dir="/tmp") as folder:
        mount = ["unshare", "--mount", "sh", "-c", 'mount -t tmpfs -o size=150m tmpfs "$0" && exec "$@"', folder]
        trial = subprocess.run([*mount, "true"], capture_output=True, text=True, timeout=60)
        if trial.returncode:
            pytest.skip(f"no disk of our own can be mounted here, which root may: {trial.stderr.strip()}")
        environment = os.environ | {"PYTHONPATH": str(ROOT)}
        command = [*mount, sys.executable, SERVER, folder]
        run = subprocess.run(command, stdout=subprocess.PIPE, env=environment, timeout=300, check=True)
    found: dict[str, Any] = json.loads(run.stdout)
    return found


def test_an_evaluation_is_refused_while_the_disk_of_the_database_is_full_and_recorded_afterwards(met: dict[str, Any]) -> None:
    assert (met["before"], met["filled"], met["emptied"]) == (201, 503, 201)


def test_while_the_disk_of_the_database_is_full_the_service_is_not_ready_and_afterwards_it_is(met: dict[str, Any]) -> None:
    assert (met["filled, ready"], met["emptied, ready"]) == ([503, 503], 200)


def test_what_is_recorded_can_be_read_while_the_disk_of_the_database_is_full(met: dict[str, Any]) -> None:
    assert met["filled, read"] == 200


def test_a_database_that_broke_down_for_want_of_room_is_used_again_once_it_is_started(met: dict[str, Any]) -> None:
    assert (met["log cannot grow"], met["emptied and started"]) == (503, 201)


def test_through_a_full_disk_of_the_database_just_what_was_answered_is_kept(met: dict[str, Any]) -> None:
    assert met["counters"] == list(range(1, met["answered"] + 1))
    assert met["read back alike"] == met["answered"]

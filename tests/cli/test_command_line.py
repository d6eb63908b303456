"""What holds for every command: statuses, encoding, a reader that leaves early."""

import subprocess
from pathlib import Path

import pytest
from tests.cli.command import BONDWRIGHT, HOUSE, started_afresh
from tests.forked import Forked

from bondwright.cli import main

FULL = Path("/dev/full")


def test_help_states_the_exit_statuses() -> None:
    told = started_afresh("--help")

    assert told.returncode == 0
    assert b"exit statuses:\n  0  done\n  1  found wanting" in told.stdout


@pytest.mark.parametrize("arguments", [(), ("judge",), ("evaluate",), ("serve", "--prot", "1"), ("demo", "--format", "xml"), ("rules",)])
def test_a_wrong_call_ends_with_status_2(arguments: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(arguments)

    assert ended.value.code == 2
    assert "usage: bondwright" in capsys.readouterr().err


def test_output_is_utf_8_also_where_the_locale_knows_only_ascii() -> None:
    told = started_afresh("evaluate", HOUSE, LC_ALL="C", PYTHONUTF8="0", PYTHONCOERCECLOCALE="0")

    assert told.stderr == b""
    assert "mm²" in told.stdout.decode("utf-8")


def test_a_reader_that_has_left_is_no_error() -> None:
    with Forked([BONDWRIGHT, "evaluate", HOUSE], stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout and process.stderr
        process.stdout.close()

        complaint = process.stderr.read()

    assert (process.returncode, complaint) == (0, b"")


@pytest.mark.skipif(not FULL.exists(), reason="no /dev/full here, a file on a disk that is always full")
@pytest.mark.parametrize("arguments", [("evaluate", HOUSE), ("rules", "list")], ids=["evaluate", "rules list"])
def test_output_that_finds_no_room_is_told_in_a_line(arguments: tuple[str | Path, ...]) -> None:
    with FULL.open("wb") as full:
        ended = subprocess.run([BONDWRIGHT, *arguments], stdout=full, stderr=subprocess.PIPE, check=False, timeout=120)

    assert ended.returncode == 1
    assert ended.stderr == b"bondwright: No space left on device, so that not all was written; make room and call again\n"

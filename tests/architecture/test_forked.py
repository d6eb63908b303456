"""A forked process is one like any other, but for the start: its own id, pipes, signals, status, folder and environment."""

import os
import signal
import subprocess
from pathlib import Path

import pytest
from tests.cli.command import BONDWRIGHT, HOUSE, bondwright, started_afresh
from tests.forked import Forked, run

PIPE = subprocess.PIPE


def script(folder: Path, text: str) -> Path:
    """A file with a program."""
    path = folder / "script.py"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize("arguments", [("--version",), ("evaluate", HOUSE), ("evaluate",), ("calculate", "--help")])
def test_it_says_and_ends_as_a_fresh_start_does(arguments: tuple[str | Path, ...]) -> None:
    forked, fresh = bondwright(*arguments), started_afresh(*arguments)

    assert (forked.returncode, forked.stdout, forked.stderr) == (fresh.returncode, fresh.stdout, fresh.stderr)


def test_it_has_what_it_is_given_and_nothing_else(tmp_path: Path) -> None:
    told = "os.getcwd(), sys.argv[1:], os.environ.get('ONE'), sys.path[0], sys.stdin.read(), sorted(os.listdir('/proc/self/fd'))"
    path = script(tmp_path, f"import os, sys; print({told})")

    with Forked([path, "a", "b"], {**os.environ, "ONE": "1"}, cwd=tmp_path, stdin=PIPE, stdout=PIPE) as process:
        said, _ = process.communicate(b"typed", timeout=60)

    assert said.decode() == f"{tmp_path} ['a', 'b'] 1 {tmp_path} typed ['0', '1', '2', '3']\n"
    assert "ONE" not in os.environ


@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGTERM])
def test_it_is_killed_as_any_process(number: signal.Signals, tmp_path: Path) -> None:
    path = script(tmp_path, "import os, time; print(os.getpid(), flush=True); time.sleep(60)")

    with Forked([path], stdout=PIPE) as process:
        assert process.stdout
        told = int(process.stdout.readline())
        before = process.poll()
        process.send_signal(number)

        assert process.wait(60) == -number
    assert (told, before) == (process.pid, None)


def test_an_interrupt_is_heard_as_python_hears_it(tmp_path: Path) -> None:
    path = script(
        tmp_path, "import time\ntry:\n    print(flush=True)\n    time.sleep(60)\nexcept KeyboardInterrupt:\n    raise SystemExit(7)"
    )

    with Forked([path], stdout=PIPE) as process:
        assert process.stdout
        process.stdout.readline()
        process.send_signal(signal.SIGINT)

        assert process.wait(60) == 7


def test_an_error_is_a_traceback_and_status_1(tmp_path: Path) -> None:
    done = run([script(tmp_path, "raise ValueError('so')")])

    assert (done.returncode, done.stderr.splitlines()[-1]) == (1, b"ValueError: so")


def test_what_is_due_at_the_end_is_done_at_the_end(tmp_path: Path) -> None:
    done = run([script(tmp_path, "import atexit; atexit.register(print, 'last'); print('first')")])

    assert done.stdout == b"first\nlast\n"


def test_it_inherits_nothing_of_what_another_did(tmp_path: Path) -> None:
    path = script(tmp_path, "import sys, bondwright; print(hasattr(bondwright, 'touched')); bondwright.touched = sys.argv[1]")

    assert [run([path, one]).stdout for one in "ab"] == [b"False\n"] * 2


def test_it_draws_by_chance_what_no_other_draws(tmp_path: Path) -> None:
    chances = "random.random(), secrets.token_hex(), uuid_utils.uuid4(), uuid_utils.uuid7()"
    path = script(tmp_path, f"import random, secrets, uuid_utils; print({chances})")

    drawn = [word for _ in range(3) for word in run([path]).stdout.split()]

    assert len(set(drawn)) == len(drawn) == 12


@pytest.mark.parametrize("name", ["PYTHONPATH", "LC_ALL", "LANG"])
def test_what_only_an_interpreter_that_starts_would_heed_is_refused(name: str) -> None:
    with pytest.raises(ValueError, match=f"^{name}: heeded by an interpreter that starts; use subprocess$"):
        Forked([BONDWRIGHT, "--help"], {**os.environ, name: "other"})


def test_the_process_that_forks_has_one_thread(tmp_path: Path) -> None:
    path = script(tmp_path, "import os, pathlib; print(len(list(pathlib.Path(f'/proc/{os.getppid()}/task').iterdir())))")

    assert run([path]).stdout == b"1\n"

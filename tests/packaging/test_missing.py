"""Before anything is installed one line says what is missing: `.ci/missing`, which the README's first command and `.ci/run` begin with."""

import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SOUND = "#!/bin/sh\nexit 0\n"
LACKS = '#!/bin/sh\ncase "$2" in *{}*) exit 1;; esac\n'


def told(folder: Path, **programs: str) -> tuple[int, str]:
    """Exit status and words of the check on a machine that has these programs, as scripts, and no others."""
    for name, script in programs.items():
        (folder / name).write_text(script)
        (folder / name).chmod(0o755)
    shell = shutil.which("sh")
    assert shell, "there is no sh"
    done = subprocess.run([shell, str(ROOT / ".ci" / "missing")], env={"PATH": str(folder)}, capture_output=True, text=True, check=False)
    return done.returncode, done.stdout + done.stderr


def test_nothing_is_said_where_all_is_there(tmp_path: Path) -> None:
    assert told(tmp_path, python3=SOUND, cc=SOUND) == (0, "")


@pytest.mark.parametrize(
    ("programs", "line"),
    [
        ({"python3": SOUND}, "missing: a C compiler (cc); on Debian: apt-get install gcc libc6-dev\n"),
        (
            {"python3": LACKS.format("Python.h"), "cc": SOUND},
            "missing: the Python headers (Python.h); on Debian: apt-get install python3-dev\n",
        ),
        (
            {"python3": SOUND, "cc": "#!/bin/sh\nexit 1\n"},
            "missing: the headers of the C library; on Debian: apt-get install libc6-dev\n",
        ),
        (
            {"python3": LACKS.format("ensurepip"), "cc": SOUND},
            "missing: the module venv of Python; on Debian: apt-get install python3-venv\n",
        ),
        (
            {"python3": LACKS.format("Python.h")},
            "missing: the Python headers (Python.h), a C compiler (cc); on Debian: apt-get install python3-dev gcc libc6-dev\n",
        ),
        (
            {"cc": SOUND},
            "missing: Python 3.11, 3.12 or 3.13; on Debian: apt-get install python3 python3-venv python3-dev\n",
        ),
        (
            {"python3": LACKS.format("version_info"), "cc": SOUND},
            "missing: Python 3.11, 3.12 or 3.13; on Debian: apt-get install python3 python3-venv python3-dev\n",
        ),
    ],
)
def test_one_line_says_what_is_missing_and_how_to_get_it(tmp_path: Path, programs: dict[str, str], line: str) -> None:
    assert told(tmp_path, **programs) == (1, line)


def test_where_uv_is_there_no_venv_is_needed(tmp_path: Path) -> None:
    assert told(tmp_path, python3=LACKS.format("ensurepip"), cc=SOUND, uv="#!/bin/sh\nexit 1\n") == (0, "")


def test_this_machine_has_all() -> None:
    assert subprocess.run(["sh", str(ROOT / ".ci" / "missing")], check=False).returncode == 0


@pytest.mark.parametrize(
    ("page", "command", "before"), [("README.md", "sh .ci/missing", "pip install uv"), (".ci/run", "sh .ci/missing", "uv sync")]
)
def test_it_comes_before_what_installs(page: str, command: str, before: str) -> None:
    text = (ROOT / page).read_text(encoding="utf-8")

    assert text.index(command) < text.index(before)

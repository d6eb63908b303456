"""The project as the packaging tests see it: its root folder, its pyproject.toml, and the outside commands they need."""

import shutil
import subprocess
import tomllib
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]


def pyproject() -> dict[str, Any]:
    """The content of pyproject.toml."""
    return tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def output_of(command: str, *arguments: str) -> str:
    """What `command` prints when run in the project's folder; skips the test if this machine has no such command."""
    program = shutil.which(command)
    if program is None:
        pytest.skip(f"{command} is not on PATH")
    done = subprocess.run([program, *arguments], cwd=ROOT, capture_output=True, text=True, check=False, timeout=120)
    assert done.returncode == 0, done.stderr
    return done.stdout

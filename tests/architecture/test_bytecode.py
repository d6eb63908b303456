"""Compiled modules are kept apart only where Python is told to write none beside the sources."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from tests.bytecode import APART, NONE_BESIDE

ROOT = Path(__file__).parents[2]
PROGRAM = """
import json, os, sys
from pathlib import Path
from tests.bytecode import keep_apart
print(json.dumps([keep_apart(Path(sys.argv[1])), sys.dont_write_bytecode, sys.pycache_prefix == sys.argv[1], sorted(os.environ)]))
"""


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({NONE_BESIDE: "1"}, "[true, false, true, "),
        ({}, "[false, false, false, "),
        ({NONE_BESIDE: "1", APART: "elsewhere"}, "[false, true, false, "),
    ],
    ids=["told to write none", "told nothing", "kept elsewhere already"],
)
def test_modules_are_kept_apart_where_none_may_be_written(tmp_path: Path, given: dict[str, str], told: str) -> None:
    bare = {name: value for name, value in os.environ.items() if name not in (NONE_BESIDE, APART)}
    command = [sys.executable, "-c", PROGRAM, str(tmp_path / "apart")]

    done = subprocess.run(command, env=bare | given, cwd=ROOT, capture_output=True, text=True, check=True, timeout=300)

    assert done.stdout.startswith(told)

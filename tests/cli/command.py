"""The installed command as a person runs it, and what the tests of the command line send to it."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from tests import forked

BONDWRIGHT = Path(sys.executable).with_name("bondwright")
"""The script that installing the project made."""

HOUSE = Path(__file__).parents[2] / "openapi" / "examples" / "house.request.json"
"""An everyday house with a bathroom."""

WORK = {"kind": "inspection", "inspected_on": "2026-11-25"}


def bondwright(*arguments: str | Path, stdin: bytes = b"", **environment: str) -> subprocess.CompletedProcess[bytes]:
    """What `bondwright` printed and how it ended, in a process of its own; `environment` is set on top of this process's own."""
    return forked.run([BONDWRIGHT, *arguments], stdin, None, **environment)


def started_afresh(*arguments: str | Path, stdin: bytes = b"", **environment: str) -> subprocess.CompletedProcess[bytes]:
    """The same by a true start, with all that an interpreter does then."""
    return subprocess.run(
        [BONDWRIGHT, *arguments], input=stdin, capture_output=True, check=False, timeout=120, env={**os.environ, **environment}
    )


def described(folder: Path, **parts: Any) -> Path:
    """A file in `folder` with a description, its work filled in."""
    path = folder / "described.json"
    path.write_text(json.dumps({"work": WORK, **parts}), encoding="utf-8")
    return path

"""The code that something rests on, as a digest: what is kept of it falls when that code changes."""

import hashlib
from collections.abc import Iterable
from pathlib import Path

PACKAGE = Path(__file__).parent.parent


def code_version(files: Iterable[str]) -> str:
    """A digest of the names and contents of those files of this package. `files`: patterns below it, such as `conclude/*.py`."""
    digest = hashlib.sha256()
    for path in sorted(path for pattern in files for path in PACKAGE.glob(pattern)):
        digest.update(path.relative_to(PACKAGE).as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()[:16]

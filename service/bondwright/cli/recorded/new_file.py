"""A file that is there once it is whole, and not before."""

import errno
import os
from collections.abc import Iterable
from pathlib import Path
from tempfile import NamedTemporaryFile


def write_whole(path: Path, lines: Iterable[bytes]) -> None:
    """Nothing, once `path` holds these lines and would survive a power cut; private, as records are.

    Until then they stand in a file beside it, which is gone if anything is raised; only a process that is killed leaves it behind.
    Raises: OSError, also if something is there already; whatever `lines` raises.
    """
    if path.exists():
        raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(path))
    with NamedTemporaryFile(dir=path.parent, prefix=f".{path.name}.") as file:
        file.writelines(lines)
        file.flush()
        os.fsync(file.fileno())
        os.link(file.name, path)  # which, unlike a new name, never takes the place of another
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)

"""Files that are written whole or not at all, and the lock of what was published."""

import os
from pathlib import Path

from bondwright.errors import BondwrightError
from bondwright.shelf.packs import LOCK


def lock_of(folder: Path) -> bytes:
    """What the lock holds; nothing, where nothing was published yet."""
    try:
        return (folder / LOCK).read_bytes()
    except FileNotFoundError:
        return b""


def locked_digest(lock: bytes, pack_id: str) -> str | None:
    """The digest under which a pack of that id is published, if one is; `lock` is the lock's content."""
    lines = (line.split() for line in lock.decode("ascii", "replace").splitlines())
    return next((fields[1] for fields in lines if fields[:1] == [pack_id] and len(fields) > 1), None)


def write_whole(path: Path, content: bytes) -> None:
    """Writes a file whole or not at all. Raises: BondwrightError."""
    draft = path.with_name(f".{path.name}.new")
    try:
        path.parent.mkdir(exist_ok=True)
        with draft.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        draft.replace(path)
    except OSError as error:
        raise BondwrightError(f"`{path}` cannot be written ({error.strerror})") from None

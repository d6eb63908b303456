"""Files that are written whole or not at all, several of them together, and the lock of what was published."""

import os
import signal
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from bondwright.cli.rules.publishing.following import kept_file
from bondwright.errors import BondwrightError
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import LOCK
from bondwright.shelf.words.joined import parts, words_file


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


def files_of(folder: Path, pack: RulePack, kept_cases: bytes) -> dict[Path, bytes]:
    """The files of a pack in the order in which they are written: its cases, its words where it has any, itself last."""
    decides, says = parts(pack.text)
    name = f"published/{pack.pack_id}.yaml"
    words = {folder / words_file(name): says} if says else {}
    return {folder / kept_file(pack.pack_id): kept_cases, **words, folder / name: decides}


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
        draft.unlink(missing_ok=True)
        raise BondwrightError(f"`{path}` cannot be written ({error.strerror})") from None


def write_together(files: Mapping[Path, bytes]) -> None:
    """Writes files in that order, or none of them: no interrupt stops it, and where one cannot be written the new ones before it go again.

    The last one counts: a machine that fails in between leaves files that the next call writes again. Raises: BondwrightError.
    """
    fresh: list[Path] = []
    with uninterrupted():
        try:
            for path, content in files.items():
                is_new = not path.exists()
                write_whole(path, content)
                fresh += [path] if is_new else []
        except BondwrightError:
            for path in fresh:
                path.unlink(missing_ok=True)
            raise


@contextmanager
def uninterrupted() -> Iterator[list[int]]:
    """Lets no interrupt stop what is done inside; gives the numbers of the signals that came."""
    heard: list[int] = []
    before = {number: signal.signal(number, lambda heard_one, _: heard.append(heard_one)) for number in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield heard
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)

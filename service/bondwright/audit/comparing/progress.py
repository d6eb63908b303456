"""How far a comparison of all records has come, in a file from which it can go on after any interruption."""

import hashlib
import os
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import orjson
from msgspec import Struct

from bondwright.audit.comparing.tally import Tally, tally_of
from bondwright.errors import UnusableProgress

FORMAT = "bondwright-impact-2"
"""Named in the file; a file of another format is refused."""

_WAY_OUT = "name a file that is not there yet, or remove this one to begin anew"


@dataclass(frozen=True, slots=True)
class Basis:
    """What the outcome of a comparison depends on, but for the records.

    `pack_id`, `pack_digest`: the candidate. `beside`: digests of the packs among which the date chooses, but for the candidate, sorted.
    `withdrawn`: which of all are withdrawn, and for which. `versions`: what evaluates, by name.
    """

    tenant: str
    pack_id: str
    pack_digest: str
    beside: tuple[str, ...]
    withdrawn: tuple[str, ...]
    versions: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Anchor:
    """The last record that was read, by which its store is known again: records never change and no id is used twice."""

    counter: int = 0
    evaluation_id: str = ""
    evaluation_digest: str = ""


class Progress(Struct, frozen=True):
    """All records up to the counter `done` are in the tally."""

    done: int
    anchor: Anchor
    tally: Tally


def read_progress(path: Path, basis: Basis) -> Progress | None:
    """What the file holds; none, if there is no file.

    Raises: UnusableProgress, if it cannot be read, was changed, or was made on another basis.
    """
    try:
        held = _held(path.read_bytes())
        progress = Progress(held["done"], Anchor(**held["anchor"]), tally_of(held))
        made_on = Basis(**(held["basis"] | {name: tuple(held["basis"][name]) for name in ("beside", "withdrawn")}))
    except FileNotFoundError:
        return None
    except OSError as error:
        raise UnusableProgress(f"{path}: cannot be read ({error.strerror}); name another file") from error
    except (ValueError, KeyError, TypeError, AttributeError):
        raise UnusableProgress(f"{path}: is not what `bondwright impact` wrote, or was changed; {_WAY_OUT}") from None
    if made_on != basis:
        raise UnusableProgress(f"{path}: is the progress of another comparison ({', '.join(_differing(made_on, basis))}); {_WAY_OUT}")
    return progress


def write_progress(path: Path, basis: Basis, progress: Progress) -> None:
    """Nothing, once the file holds this, whole, and would through a power cut; until then it holds what it held.

    Raises: UnusableProgress, if it cannot be written.
    """
    anchor = asdict(progress.anchor)
    held = {"format": FORMAT, "basis": asdict(basis), "done": progress.done, "anchor": anchor, **progress.tally.values()}
    content = orjson.dumps({"sha256": _digest(held), "progress": held}, option=orjson.OPT_INDENT_2 | orjson.OPT_APPEND_NEWLINE)
    try:
        _replace(path, content)
    except OSError as error:
        raise UnusableProgress(f"{path}: cannot be written ({error.strerror}); name a file in a folder that can be written to") from error


def other_records(path: Path) -> UnusableProgress:
    """What is raised where the store is not the one of which the file holds the progress."""
    return UnusableProgress(f"{path}: is the progress over other records than are kept here; {_WAY_OUT}")


def _replace(path: Path, content: bytes) -> None:
    # A name of its own, so that of two runs at once neither puts a half-written file of the other in place.
    handle, name = tempfile.mkstemp(prefix=f"{path.name}.", suffix=".part", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
    except BaseException:
        with suppress(OSError):
            Path(name).unlink()
        raise
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)


def _held(raw: bytes) -> dict[str, Any]:
    document = orjson.loads(raw)
    held: dict[str, Any] = document["progress"]
    if document["sha256"] != _digest(held) or held["format"] != FORMAT:
        raise ValueError
    return held


def _digest(held: Mapping[str, Any]) -> str:
    return hashlib.sha256(orjson.dumps(held)).hexdigest()


def _differing(made_on: Basis, basis: Basis) -> Iterator[str]:
    if (made_on.pack_id, made_on.pack_digest) != (basis.pack_id, basis.pack_digest):
        yield f"rule pack {made_on.pack_id} with the digest {made_on.pack_digest}"
    if made_on.tenant != basis.tenant:
        yield "records of another tenant"
    if made_on.beside != basis.beside:
        yield "other packs are published now"
    if made_on.withdrawn != basis.withdrawn:
        yield "other packs are withdrawn now"
    if made_on.versions != basis.versions:
        yield "made by " + ", ".join(f"{name} {version}" for name, version in made_on.versions.items())

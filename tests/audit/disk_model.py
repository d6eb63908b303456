"""What a disk holds after the power was cut: what was synced, and of the rest nothing or some."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from tests.audit.traced_calls import Call

SECTOR_BYTES = 512
"""What a disk writes as one; from memory, the smallest that is in use."""


@dataclass(slots=True)
class _File:
    """`synced`: its content at its last sync; `unsynced`: what was asked since, in order."""

    synced: bytearray = field(default_factory=bytearray)
    unsynced: list[Call] = field(default_factory=list)


class Disk:
    """The files of one folder. A name lasts only from a sync of the folder, a content only from a sync of its file."""

    def __init__(self, folder: str) -> None:
        self._folder = folder
        self._names: dict[str, _File] = {}
        self._synced_names: dict[str, _File] = {}
        self._unsynced_names: list[tuple[Call, _File]] = []

    def does(self, call: Call) -> None:
        """Takes in the next call. The shared memory file is left out: SQLite builds it anew after a cut."""
        if call.path.endswith("-shm"):
            return
        match call.kind:
            case "create" if call.path not in self._names:
                self._names[call.path] = _File()
                self._unsynced_names.append((call, self._names[call.path]))
            case "remove":
                self._unsynced_names.append((call, self._names.pop(call.path)))
            case "write" | "truncate":
                self._names[call.path].unsynced.append(call)
            case "sync" if call.path == self._folder:
                self._sync_names(call)
            case "sync":
                _sync_content(self._names[call.path], call)

    def after_a_cut(self, survives: Callable[[], bool]) -> dict[str, bytes]:
        """Path and content of every file; `survives` is asked of each name and each sector that was not synced."""
        names = dict(self._synced_names)
        for call, file in self._unsynced_names:
            if survives():
                _rename(names, call, file)
        return {path: _content(file, survives) for path, file in names.items()}

    def _sync_names(self, sync: Call) -> None:
        done = [(call, file) for call, file in self._unsynced_names if call.ended < sync.began]
        for call, file in done:
            _rename(self._synced_names, call, file)
        self._unsynced_names = self._unsynced_names[len(done) :]


def _rename(names: dict[str, _File], call: Call, file: _File) -> None:
    if call.kind == "create":
        names[call.path] = file
    else:
        names.pop(call.path, None)


def _sync_content(file: _File, sync: Call) -> None:
    # Only what had ended when the sync began is surely covered by it.
    done = [call for call in file.unsynced if call.ended < sync.began]
    for call in done:
        _change(file.synced, call)
    file.unsynced = file.unsynced[len(done) :]


def _content(file: _File, survives: Callable[[], bool]) -> bytes:
    content = bytearray(file.synced)
    for call in file.unsynced:
        for sector in _sectors(call):
            if survives():
                _change(content, sector)
    return bytes(content)


def _sectors(call: Call) -> Sequence[Call]:
    if call.kind == "truncate":
        return (call,)
    pieces = range(0, len(call.content), SECTOR_BYTES)
    return [Call("write", "", 0, 0, call.content[start : start + SECTOR_BYTES], call.at + start) for start in pieces]


def _change(content: bytearray, call: Call) -> None:
    end = call.at + len(call.content)
    if call.kind == "truncate":
        del content[call.at :]
    content.extend(bytes(max(0, end - len(content))))
    content[call.at : end] = call.content

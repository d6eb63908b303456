"""What a process asked of the system, in order, as strace saw it: writes and syncs of one folder, and lines to standard output."""

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import NamedTemporaryFile

import pytest

ROOT = Path(__file__).parents[2]

# A question mark: not every machine has the call. Those that `_understood` does not know are traced to be refused.
_WATCHED = ("openat", "pwrite64", "write", "lseek", "ftruncate", "fdatasync", "fsync", "?unlink")
_UNKNOWN = ("?open", "?creat", "pwritev", "writev", "fallocate", "?rename", "?renameat", "renameat2", "unlinkat", "truncate")
_BYTES = r"((?:\\x[0-9a-f]{2})*)"


@dataclass(frozen=True, slots=True)
class Call:
    """A call that succeeded; `began` and `ended` are lines of the trace.

    `kind`: `create`, `write` (`content` at offset `at`), `truncate` (to length `at`), `sync` (of a file, or of the folder), `remove`,
    or `say` (`content` to standard output).
    """

    kind: str
    path: str
    began: int
    ended: int
    content: bytes = b""
    at: int = 0

    @property
    def moment(self) -> int:
        """When it counts: what is said counts from its beginning, all else from its end. So a doubt goes against the store."""
        return self.began if self.kind == "say" else self.ended


def traced(command: Sequence[str], folder: Path, *options: str) -> tuple[Call, ...]:
    """Runs Python on `command`, at most five minutes, and gives its calls that touch `folder` or standard output, by their moment.

    `options`: further ones for strace.

    Skips the test where strace is not installed or may not trace.
    """
    demand_strace()
    calls = ",".join((*_WATCHED, *_UNKNOWN))
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    with NamedTemporaryFile("r", encoding="ascii") as log:
        strace = ["strace", "-f", "-qq", "-y", "-xx", "-s", "1000000", "--seccomp-bpf", "-e", f"trace={calls}", *options, "-o", log.name]
        subprocess.run([*strace, sys.executable, *command], stdout=subprocess.DEVNULL, env=environment, timeout=300, check=True)
        return tuple(sorted(_calls(_whole(log), str(folder)), key=lambda call: call.moment))


def demand_strace() -> None:
    """Nothing, if calls can be traced here; else the test is skipped."""
    if shutil.which("strace") is None:
        pytest.skip("strace is not installed: apt-get install strace")
    trial = subprocess.run(["strace", "-qq", "-o", os.devnull, "true"], capture_output=True, text=True, timeout=60)
    if trial.returncode:
        pytest.skip(f"strace may not trace here: {trial.stderr.strip()}")


def _whole(lines: Iterable[str]) -> Iterator[tuple[int, int, str]]:
    """Each call as (began, ended, text); one that another thread interrupted is put together again."""
    open_calls: dict[str, tuple[int, str]] = {}
    for place, line in enumerate(lines):
        thread, text = line.rstrip("\n").split(maxsplit=1)
        if text.endswith("<unfinished ...>"):
            open_calls[thread] = (place, text.removesuffix("<unfinished ...>"))
        elif resumed := re.match(r"<\.\.\. \w+ resumed>(.*)", text):
            began, start = open_calls.pop(thread)
            yield began, place, start + resumed[1]
        else:
            yield place, place, text


def _calls(whole: Iterator[tuple[int, int, str]], folder: str) -> Iterator[Call]:
    positions: dict[str, int] = {}
    for began, ended, text in whole:
        found = re.match(r"(\w+)\((.*)\)\s+= (\d+)", text)
        if not found or ">(deleted)" in text:
            continue
        name, arguments, result = found[1], found[2], int(found[3])
        paths = [_decoded(path).decode() for path in re.findall(rf"[<\"]{_BYTES}[>\"]", text) if path.startswith(r"\x2f")]
        path = next((path for path in paths if path.startswith(folder)), "")
        is_said = name == "write" and arguments.startswith("1<")
        if (path or is_said) and (call := _understood(name, arguments, result, positions)):
            yield Call(call[0], path, began, ended, *call[1:])


def _understood(name: str, arguments: str, result: int, positions: dict[str, int]) -> tuple[str, bytes, int] | None:
    """Kind, content and place of a call; None if it changes nothing. `positions`: where each descriptor stands, kept from call to call."""
    descriptor = arguments.split("<")[0]
    match name:
        case "pwrite64" | "write":
            content = _decoded(re.findall(rf'"{_BYTES}"', arguments)[0])[:result]
            if descriptor == "1":
                return "say", content, 0
            at = int(arguments.rsplit(", ", 1)[1]) if name == "pwrite64" else positions[descriptor]
            positions[descriptor] = positions.get(descriptor, 0) + (result if name == "write" else 0)
            return "write", content, at
        case "lseek":
            positions[descriptor] = result
            return None
        case "openat":
            positions[str(result)] = 0
            return ("create", b"", 0) if "O_CREAT" in arguments else None
        case "ftruncate":
            return "truncate", b"", int(arguments.rsplit(", ", 1)[1], 0)
        case "fdatasync" | "fsync":
            return "sync", b"", 0
        case "unlink":
            return "remove", b"", 0
        case _:
            raise ValueError(f"the model of a disk knows no {name}")


def _decoded(text: str) -> bytes:
    return bytes.fromhex(text.replace(r"\x", ""))

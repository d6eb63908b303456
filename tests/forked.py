"""Scripts of the program in processes of their own that need not load it again: forked from one that has it loaded (`tests.forking`).

A start takes 0.7 s of processor, nearly all of it to load what 150 others have loaded (2026-11-30). What a test says of starting, of what
is loaded, of memory or of Python's own settings needs a true start, `subprocess`; so does one test of each command.
"""

import json
import os
import select
import socket
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any, TypeAlias

ROOT = Path(__file__).parents[1]
_INTERPRETERS_OWN = ("PYTHON", "LC_", "LANG")
"""How names begin that an interpreter heeds when it starts."""
_PATIENCE_S = 300


Command: TypeAlias = Sequence[str | Path]
"""A script, and its arguments."""
Start: TypeAlias = Callable[..., "subprocess.Popen[bytes]"]
"""`Forked`, or `subprocess.Popen` for a true start."""


class Forked(subprocess.Popen[bytes]):
    """As `subprocess.Popen` of a script: its own id, pipes, signals and exit status. It is no child of this process but of another.

    `service`: the folder of a copy of the package that runs in place of the installed one.

    Raises: ValueError, where the environment would have to be read by a fresh interpreter.
    """

    def __init__(self, command: Command, env: Mapping[str, str] | None = None, service: Path | None = None, **more: Any) -> None:
        self._service = service
        wanted = os.environ if env is None else env
        differing = {name for name in {*wanted, *os.environ} if wanted.get(name) != os.environ.get(name)}
        if own := sorted(name for name in differing if name.startswith(_INTERPRETERS_OWN)):
            raise ValueError(f"{', '.join(own)}: heeded by an interpreter that starts; use subprocess")
        super().__init__([str(one) for one in command], env=wanted, **more)

    def _execute_child(self, *given: Any) -> None:
        """Called by `Popen` to begin the process: as it says there, but for the way."""
        command, folder, environment, ends = given[0], given[5], given[6], given[10:16]
        call = {"command": command, "environment": dict(environment), "folder": str(folder or Path.cwd())}
        self._told, told = socket.socketpair()
        passed = [own if own != -1 else number for number, own in enumerate((ends[0], ends[3], ends[5]))]
        with told:
            socket.send_fds(_forking(self._service), [json.dumps(call).encode()], [*passed, told.fileno()])
        self._told.settimeout(_PATIENCE_S)
        self.pid = int.from_bytes(self._told.recv(4), "big")
        self._told.settimeout(None)
        self._child_created = True
        self._close_pipe_fds(*ends)  # type: ignore[attr-defined]

    def _try_wait(self, flags: int) -> tuple[int, int]:
        """Called by `Popen` to learn how the process ended."""
        if flags & os.WNOHANG and not select.select([self._told], [], [], 0)[0]:
            return 0, 0
        with self._told:
            status = self._told.recv(4)
        assert status, "the process that forks has gone"
        return self.pid, int.from_bytes(status, "big")

    def _internal_poll(self, *_: Any, **__: Any) -> int | None:
        """Called by `Popen` to see whether the process has ended."""
        if self.returncode is None:
            ended, status = self._try_wait(os.WNOHANG)
            if ended:
                self._handle_exitstatus(status)  # type: ignore[attr-defined]
        return self.returncode


def run(command: Command, stdin: bytes = b"", service: Path | None = None, **environment: str) -> subprocess.CompletedProcess[bytes]:
    """What a script printed and how it ended; `environment` is set on top of this process's own; `service` as for `Forked`."""
    pipe = subprocess.PIPE
    with Forked(command, {**os.environ, **environment}, service, stdin=pipe, stdout=pipe, stderr=pipe) as process:
        try:
            said, complained = process.communicate(stdin, timeout=_PATIENCE_S)
        finally:
            process.kill()
    return subprocess.CompletedProcess(command, process.returncode, said, complained)


def forget() -> None:
    """Lets the processes that fork end, if there are any, and waits for them."""
    while _begun():
        process, asked = _begun().pop()
        asked.close()
        process.wait(_PATIENCE_S)
    _forking.cache_clear()


@cache
def _forking(service: Path | None) -> socket.socket:
    """Asks the process that has the package of `service` loaded, begun the first time."""
    asked, asks = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
    environment = os.environ | ({"PYTHONPATH": str(service)} if service else {})
    with asked:
        process = subprocess.Popen([sys.executable, "-m", "tests.forking"], stdin=asked.fileno(), cwd=ROOT, env=environment)
    _begun().append((process, asks))
    return asks


@cache
def _begun() -> "list[tuple[subprocess.Popen[bytes], socket.socket]]":
    return []

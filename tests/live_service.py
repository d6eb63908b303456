"""The service as others reach it: a process of its own on a free port of loopback."""

import select
import subprocess
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.cli.command import BONDWRIGHT

from bondwright.access.keys import SCOPES
from bondwright.assembly import build_keyring
from bondwright.settings import Settings

PATIENCE_S = 60


@dataclass(frozen=True, slots=True)
class LiveService:
    """Where it answers, and a key for everything that a tenant may."""

    address: str
    key: str


@contextmanager
def live_service(data: Path) -> Iterator[LiveService]:
    """A service over records in `data`, ended at the latest when the block ends."""
    with closing(build_keyring(Settings(data))) as keyring:
        key, _ = keyring.create("acme", SCOPES)
    command: list[str | Path] = [BONDWRIGHT, "serve", "--port", "0", "--data", data]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL) as process:
        try:
            assert process.stdout
            assert select.select([process.stdout], [], [], PATIENCE_S)[0], "nothing was printed in time"
            greeting = process.stdout.readline().decode()
            assert greeting.startswith("serving http://127.0.0.1:"), greeting
            yield LiveService(address=greeting.split()[1], key=key)
        finally:
            process.kill()

"""The service as others reach it: a process of its own on a free port of loopback."""

from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.cli.server import serving

from bondwright.access.keys import SCOPES
from bondwright.assembly import build_keyring
from bondwright.settings import Settings


@dataclass(frozen=True, slots=True)
class LiveService:
    """Where it answers, and a key for everything that a tenant may."""

    address: str
    key: str


@contextmanager
def live_service(data: Path, tenant: str = "acme") -> Iterator[LiveService]:
    """A service over records in `data`, ended at the latest when the block ends; the key opens those of `tenant`."""
    with closing(build_keyring(Settings(data))) as keyring:
        key, _ = keyring.create(tenant, SCOPES)
    with serving(data) as (address, _):
        yield LiveService(address, key)

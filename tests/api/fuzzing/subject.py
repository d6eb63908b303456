"""The application that is fuzzed: it asks for keys, and gives the same ids every time, so that a run can be repeated."""

import random
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from uuid import UUID

from fastapi import FastAPI
from tests.api.builders import OURS, THEIRS

from bondwright.access.keys import SCOPES
from bondwright.api.app import create_app
from bondwright.assembly import Bondwright, Keyring
from bondwright.audit.keys import KeyStore
from bondwright.audit.postgresql.keys import PostgresqlKeyStore
from bondwright.audit.postgresql.store import PostgresqlRecordStore
from bondwright.audit.record import RecordStore
from bondwright.audit.sqlite.keys import SqliteKeyStore
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.engine.channels import TwoChannels
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import PackHead
from bondwright.settings import Limits

NO_LIMIT = Limits(evaluations_per_minute=0)
NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)


@contextmanager
def subject(
    packs: Sequence[PackHead], folder: Path, kind: type[Bondwright] = Bondwright, database: str = "", owner: str = ""
) -> Iterator[tuple[FastAPI, dict[str, str]]]:
    """The application, and a key of every scope for each of two tenants.

    Records are in the folder, or in a PostgreSQL database at the address `database`, whose `owner` makes the keys.
    """
    chance = random.Random(0)

    def open_store() -> RecordStore:
        return PostgresqlRecordStore(database) if database else SqliteRecordStore(folder / "record.sqlite")

    def open_keys() -> KeyStore:
        return PostgresqlKeyStore(database) if database else SqliteKeyStore(folder / "record.sqlite")

    with (
        closing(Keyring((lambda: PostgresqlKeyStore(owner)) if owner else open_keys, clock=lambda: NOW)) as maker,
        closing(Keyring(open_keys, clock=lambda: NOW)) as keyring,
        closing(
            kind(
                packs,
                open_store,
                lambda pack: TwoChannels(pack, Kept()),
                versions={"service": "0.1.0"},
                memory=Kept(),
                clock=lambda: NOW,
                new_id=lambda: str(UUID(int=chance.getrandbits(128), version=4)),
            )
        ) as bondwright,
    ):
        yield create_app(bondwright, keyring, NO_LIMIT), {tenant: maker.create(tenant, SCOPES)[0] for tenant in (OURS, THEIRS)}

"""The stores that the contract is tested on."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from tests.postgresql_server import PostgresqlServer

from bondwright.audit.postgresql.owner import take
from bondwright.audit.postgresql.store import PostgresqlRecordStore
from bondwright.audit.record import RecordStore
from bondwright.audit.sqlite.store import SqliteRecordStore


@pytest.fixture(scope="session")
def template(server: PostgresqlServer) -> str:
    """The name of a database that is laid out and empty, to be copied."""
    return template_of(server)


@pytest.fixture
def database(server: PostgresqlServer, template: str) -> str:
    """The address of a database that is laid out, for the application."""
    return laid_out(server, template)


def template_of(server: PostgresqlServer) -> str:
    """See `template`."""
    address = server.new_database()
    take(address)
    return address.rpartition("@/")[2].partition("?")[0]


def laid_out(server: PostgresqlServer, template: str | None = None) -> str:
    """See `database`."""
    address = server.new_database(f"TEMPLATE {template or template_of(server)}")
    return server.as_user(address, server.new_user(address))


@pytest.fixture(params=["sqlite", "postgresql"])
def store(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[RecordStore]:
    """An empty store of each kind."""
    openings: dict[str, Callable[[], RecordStore]] = {
        "sqlite": lambda: SqliteRecordStore(tmp_path / "records.sqlite"),
        "postgresql": lambda: PostgresqlRecordStore(request.getfixturevalue("database")),
    }
    opened = openings[request.param]()
    yield opened
    opened.close()

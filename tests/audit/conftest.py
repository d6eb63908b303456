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
def server() -> Iterator[PostgresqlServer]:
    """A PostgreSQL server for all tests; each takes databases of its own."""
    started = PostgresqlServer()
    yield started
    started.remove()


@pytest.fixture
def database(server: PostgresqlServer) -> str:
    """The address of a database that is laid out, for the application."""
    return laid_out(server)


def laid_out(server: PostgresqlServer) -> str:
    """See `database`."""
    address = server.new_database()
    take(address)
    return server.application(address)


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

"""Generated tests draw the same examples every time, so that a run can be repeated; exploring is asked for.

uv run pytest tests/properties --hypothesis-profile=explore
"""

from collections.abc import Iterator

import pytest
from hypothesis import settings
from tests.postgresql_server import PostgresqlServer

settings.register_profile("same-every-time", derandomize=True, database=None)
settings.register_profile("explore", max_examples=1000)
settings.load_profile("same-every-time")


@pytest.fixture(scope="session")
def server() -> Iterator[PostgresqlServer]:
    """A PostgreSQL server for all tests; each takes databases of its own."""
    started = PostgresqlServer()
    yield started
    started.remove()

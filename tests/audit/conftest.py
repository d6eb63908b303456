"""The stores that the contract is tested on."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from bondwright.audit.record import RecordStore
from bondwright.audit.sqlite.store import SqliteRecordStore


# PostgreSQL joins the contract as a second entry here, when its store is there.
@pytest.fixture(params=["sqlite"])
def store(tmp_path: Path) -> Iterator[RecordStore]:
    """An empty store of each kind."""
    opened = SqliteRecordStore(tmp_path / "records.sqlite")
    yield opened
    opened.close()

"""The service and its front, one each for every test."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.api.builders import service

from bondwright.api.app import create_app
from bondwright.assembly import Bondwright
from bondwright.rulebook.memory import Kept, Memory
from bondwright.rulebook.pack import PackHead
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import on_shelf


@pytest.fixture(scope="session")
def packs() -> tuple[PackHead, ...]:
    """The published packs."""
    return on_shelf(rules_folder())


@pytest.fixture(scope="session")
def concluded() -> Memory:
    """What was concluded of rows by the published packs: many tests send the same house."""
    return Kept()


@pytest.fixture
def record_file(tmp_path: Path) -> Path:
    """Where the service keeps its record."""
    return tmp_path / "record.sqlite"


@pytest.fixture
def bondwright(packs: tuple[PackHead, ...], record_file: Path, concluded: Memory | None) -> Iterator[Bondwright]:
    """The service without its front."""
    built = service(packs, record_file, memory=concluded)
    yield built
    built.close()


@pytest.fixture
def client(bondwright: Bondwright) -> TestClient:
    """Asks the service over HTTP, in process."""
    return TestClient(create_app(bondwright), raise_server_exceptions=False)

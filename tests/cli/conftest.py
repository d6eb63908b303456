"""What the tests of the rules commands share."""

from pathlib import Path

import pytest
from tests.cli.small_rules import written


@pytest.fixture(scope="session")
def data(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder apart from that of this machine; what is proved of a pack is kept there, by its digest."""
    return tmp_path_factory.mktemp("data")


@pytest.fixture
def rules(tmp_path: Path, data: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A small rules folder of one's own, with nothing published yet."""
    monkeypatch.setenv("BONDWRIGHT_DATA", str(data))
    return written(tmp_path / "rules")

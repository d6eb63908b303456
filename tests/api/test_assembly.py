"""The service without its front, and the settings it is built from."""

from pathlib import Path

from tests.api.builders import HOUSE

from bondwright.assembly import Bondwright, build
from bondwright.settings import Settings, read_settings


def test_the_data_folder_is_the_one_asked_for() -> None:
    settings = read_settings({"BONDWRIGHT_DATA": "/srv/bondwright"})

    assert settings == Settings(Path("/srv/bondwright"))


def test_the_data_folder_lies_at_home_when_none_is_asked_for() -> None:
    settings = read_settings({"BONDWRIGHT_DATA": ""})

    assert settings == Settings(Path.home() / ".local" / "share" / "bondwright")


def test_evaluating_alone_makes_no_folder(tmp_path: Path) -> None:
    bondwright = build(Settings(tmp_path / "data"))

    evaluated = bondwright.evaluate(HOUSE)
    bondwright.close()

    assert evaluated.evaluation.reference == "Sandpiper Row 3"
    assert not (tmp_path / "data").exists()


def test_the_same_description_gives_the_same_bytes(bondwright: Bondwright) -> None:
    first, second = (bondwright.evaluate(HOUSE).body for _ in range(2))

    assert first == second

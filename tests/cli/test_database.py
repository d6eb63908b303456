"""`bondwright database`, and every command on a PostgreSQL database: laid out by its owner, served to the application."""

import asyncio
from contextlib import closing
from pathlib import Path

import pytest
from tests.cli.command import HOUSE
from tests.postgresql_server import PostgresqlServer

from bondwright.assembly import build
from bondwright.cli import main
from bondwright.settings import Settings, read_settings


@pytest.fixture
def owned(server: PostgresqlServer, monkeypatch: pytest.MonkeyPatch) -> str:
    """The address of an empty database for its owner, set as BONDWRIGHT_DATABASE."""
    address = server.new_owned_database()
    monkeypatch.setenv("BONDWRIGHT_DATABASE", address)
    return address


@pytest.fixture
def database(server: PostgresqlServer, owned: str, monkeypatch: pytest.MonkeyPatch) -> str:
    """The same, laid out by the command, for the application."""
    assert main(["database", "up"]) == 0
    address = server.as_user(owned, server.new_user(server.as_owner(owned)))
    monkeypatch.setenv("BONDWRIGHT_DATABASE", address)
    return address


@pytest.mark.usefixtures("owned")
def test_an_owner_lays_a_database_out_and_takes_it_down_again(capsys: pytest.CaptureFixture[str]) -> None:
    statuses = [main(["database", *act.split()]) for act in ("show", "up", "down --to 0001", "down --to base", "show")]

    told = [line.partition(": ")[2] for line in capsys.readouterr().out.splitlines() if line.startswith("database")]
    assert statuses == [0] * 5
    assert told == ["step base of 0004", "from step base to 0004", "from step 0004 to 0001", "from step 0001 to base", "step base of 0004"]


@pytest.mark.usefixtures("database")
def test_the_application_is_told_that_the_service_would_work(capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["database", "show"])

    assert (status, "the service would work on it, as this user" in capsys.readouterr().out) == (0, True)


@pytest.mark.usefixtures("database")
def test_the_application_cannot_change_the_layout(capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["database", "down", "--to", "0001"])

    assert (status, "left as it was" in capsys.readouterr().err) == (1, True)


def test_an_owner_is_told_that_the_service_would_not_work_as_them(owned: str, capsys: pytest.CaptureFixture[str]) -> None:
    main(["database", "up"])

    status = main(["database", "show"])

    assert owned
    assert (status, "would not work on it: this user may do more" in capsys.readouterr().out) == (1, True)


@pytest.mark.parametrize("step", ["7", "0009", "head"])
def test_a_step_that_is_not_there_is_a_wrong_call(tmp_path: Path, step: str, capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["database", "down", "--to", step, "--data", str(tmp_path)])

    assert (status, "there are 0001, 0002, 0003, 0004 and base" in capsys.readouterr().err) == (2, True)


def test_looking_at_a_file_makes_and_changes_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = main(["database", "show", "--data", str(tmp_path / "none")])
    main(["database", "up", "--data", str(tmp_path)])
    main(["database", "down", "--to", "0001", "--data", str(tmp_path)])

    shown = [main(["database", "show", "--data", str(tmp_path)]) for _ in range(2)]

    assert (before, shown, (tmp_path / "none").exists()) == (0, [0, 0], False)
    assert capsys.readouterr().out.count("step 0001 of 0004") == 2


def test_records_move_from_a_file_to_a_database_and_back_with_nothing_lost(database: str, tmp_path: Path) -> None:
    here, back, file, again = str(tmp_path / "here"), str(tmp_path / "back"), str(tmp_path / "records"), str(tmp_path / "again")
    with closing(build(Settings(Path(here)))) as service:
        sent = asyncio.run(service.submit(HOUSE.read_bytes()))

    statuses = [
        main(["export", file, "--data", here]),
        main(["import", file]),
        main(["replay", "--all"]),
        main(["export", again]),
        main(["import", again, "--data", back]),
    ]
    with closing(build(read_settings())) as in_database, closing(build(Settings(Path(back)))) as in_file:
        read = [service.stored(sent.evaluation_id) for service in (in_database, in_file)]

    assert database
    assert statuses == [0] * 5
    assert read == [sent, sent]
    assert Path(file).read_bytes() == Path(again).read_bytes()


def test_an_address_that_is_none_is_refused_without_being_told(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setenv("BONDWRIGHT_DATABASE", "secret nonsense")

    status = main(["database", "show"])

    told = capsys.readouterr().err
    assert (status, "is no address" in told, "secret" in told) == (1, True, False)

"""`bondwright export` and `bondwright import`: from one folder to another."""

import asyncio
from contextlib import closing
from pathlib import Path

import pytest
from tests.cli.command import HOUSE

from bondwright.assembly import build
from bondwright.cli import main
from bondwright.settings import Settings


def test_records_taken_in_elsewhere_read_the_same_and_replay_the_same(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    here, there, file = tmp_path / "here", tmp_path / "there", tmp_path / "records.jsonl"
    with closing(build(Settings(here))) as service:
        sent = asyncio.run(service.submit(HOUSE.read_bytes()))

    statuses = [
        main(["export", str(file), "--data", str(here)]),
        main(["import", str(file), "--data", str(there)]),
        main(["replay", "--all", "--data", str(there)]),
    ]
    with closing(build(Settings(there))) as service:
        again = service.stored(sent.evaluation_id)

    assert (statuses, again) == ([0, 0, 0], sent)
    assert "1 records taken in" in capsys.readouterr().out


def test_a_changed_file_is_refused_with_the_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "records.jsonl"
    with closing(build(Settings(tmp_path / "here"))) as service:
        asyncio.run(service.submit(HOUSE.read_bytes()))
    main(["export", str(file), "--data", str(tmp_path / "here")])
    file.write_bytes(file.read_bytes().replace(b'"records":1', b'"records":2'))

    status = main(["import", str(file), "--data", str(tmp_path / "there")])

    assert (status, "bondwright: line 4: it was changed" in capsys.readouterr().err) == (1, True)


def test_no_file_is_overwritten(tmp_path: Path) -> None:
    with closing(build(Settings(tmp_path))) as service:
        asyncio.run(service.submit(HOUSE.read_bytes()))
    (tmp_path / "there").write_text("mine")

    assert main(["export", str(tmp_path / "there"), "--data", str(tmp_path)]) == 2
    assert (tmp_path / "there").read_text() == "mine"


def test_a_file_that_is_not_there_is_a_wrong_call(tmp_path: Path) -> None:
    assert main(["import", str(tmp_path / "none"), "--data", str(tmp_path)]) == 2


def test_each_tenant_is_exported_and_replayed_alone(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    here, there, file = tmp_path / "here", tmp_path / "there", tmp_path / "records.jsonl"
    with closing(build(Settings(here))) as service:
        sent = [asyncio.run(service.submit(HOUSE.read_bytes(), tenant)) for tenant in ("acme", "other", "acme")]

    statuses = [
        main(["export", str(file), "--tenant", "acme", "--data", str(here)]),
        main(["import", str(file), "--data", str(there)]),
        main(["replay", "--all", "--tenant", "acme", "--data", str(there)]),
    ]
    with closing(build(Settings(there))) as service:
        again = [service.stored(one.evaluation_id, "acme") for one in (sent[0], sent[2])]

    assert (statuses, again) == ([0, 0, 0], [sent[0], sent[2]])
    assert "2 records replayed: 2 same" in capsys.readouterr().out

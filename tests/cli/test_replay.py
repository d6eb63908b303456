"""`bondwright replay`: one record or all of them, worked out again and compared."""

import asyncio
import hashlib
import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from tests.cli.command import HOUSE, described, started_afresh

from bondwright.assembly import build
from bondwright.cli import main
from bondwright.settings import Settings

NONE_ELSE = "0 same levels, 0 different, 0 not evaluated, 0 broken"
FIRST_RULE = "WHERE counter = 1 AND rule = (SELECT min(rule) FROM rests_on_rule WHERE counter = 1)"
TRIGGER = "CREATE TRIGGER record_never_update BEFORE update ON record\nBEGIN SELECT RAISE(ABORT, 'what is recorded stays as it is'); END"


@pytest.fixture
def ids(tmp_path: Path) -> list[str]:
    """The ids of three recorded evaluations."""
    with closing(build(Settings(tmp_path))) as service:
        sent = [HOUSE.read_bytes(), described(tmp_path).read_bytes(), HOUSE.read_bytes()]
        return [asyncio.run(service.submit(raw)).evaluation_id for raw in sent]


def forge(folder: Path, evaluation_id: str, is_hashed: bool = True) -> None:
    """Changes the stored answer of one record behind the service's back, its digest with it or not."""
    connection = sqlite3.connect(folder / "record.sqlite", isolation_level=None)
    connection.execute("DROP TRIGGER record_never_update")
    (kept,) = connection.execute("SELECT evaluation_bytes FROM record WHERE evaluation_id = ?", (evaluation_id,)).fetchone()
    forged = kept.replace(b'"reference":"', b'"reference":"forged ', 1)
    digest = hashlib.sha256(forged).hexdigest() if is_hashed else hashlib.sha256(kept).hexdigest()
    values = (forged, digest, evaluation_id)
    connection.execute("UPDATE record SET evaluation_bytes = ?, evaluation_digest = ? WHERE evaluation_id = ?", values)
    connection.execute(TRIGGER)
    connection.close()


def forge_index(folder: Path, statement: str) -> None:
    """Runs one statement behind the service's back, where no trigger stops it; the triggers are back afterwards."""
    connection = sqlite3.connect(folder / "record.sqlite", isolation_level=None)
    triggers = connection.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'").fetchall()
    for name, _ in triggers:
        connection.execute(f"DROP TRIGGER {name}")
    assert connection.execute(statement).rowcount > 0
    for _, text in triggers:
        connection.execute(text)
    connection.close()


def test_one_record_is_replayed_the_same(tmp_path: Path, ids: list[str]) -> None:
    told = started_afresh("replay", ids[0], "--data", tmp_path)

    assert (told.returncode, told.stderr) == (0, b"")
    assert f"{ids[0]}: the same, byte for byte" in told.stdout.decode()


def test_json_says_the_same_to_machines(tmp_path: Path, ids: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["replay", ids[0], "--data", str(tmp_path), "--format", "json"])

    assert (status, json.loads(capsys.readouterr().out)["same_bytes"]) == (0, "same")


def test_all_records_are_counted(tmp_path: Path, ids: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["replay", "--all", "--data", str(tmp_path)])

    assert len(ids) == 3
    assert (status, capsys.readouterr().out) == (0, f"3 records replayed: 3 same, {NONE_ELSE}; 0 wrongly indexed.\n")


def test_a_difference_is_told_with_its_place(tmp_path: Path, ids: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    forge(tmp_path, ids[1])

    status = main(["replay", ids[1], "--data", str(tmp_path)])

    told = capsys.readouterr().out
    assert (status, told.splitlines()[0]) == (1, f"{ids[1]}: different at /reference")
    assert 'was  "forged ' in told


def test_each_difference_and_each_broken_record_is_told_among_all(
    tmp_path: Path, ids: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    forge(tmp_path, ids[1])
    forge(tmp_path, ids[2], is_hashed=False)

    status = main(["replay", "--all", "--data", str(tmp_path)])

    told = capsys.readouterr().out
    assert (status, told.splitlines()[-1]) == (
        1,
        "3 records replayed: 1 same, 0 same levels, 1 different, 0 not evaluated, 1 broken; 1 wrongly indexed.",
    )
    assert f"{ids[1]}: different at /reference" in told
    assert f"{ids[2]}: broken: " in told


def test_all_as_json_is_a_line_each_and_the_counts(tmp_path: Path, ids: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    forge(tmp_path, ids[1])

    main(["replay", "--all", "--data", str(tmp_path), "--format", "json"])

    different, indexed, counts = (json.loads(line) for line in capsys.readouterr().out.splitlines())
    assert (different["kind"], different["difference"]["pointer"]) == ("different", "/reference")
    assert (indexed["kind"], indexed["evaluation_id"]) == ("wrongly indexed", ids[1])
    assert counts == {"replayed": 3, "same": 2, "same_levels": 0, "different": 1, "not_evaluated": 0, "broken": 0, "wrongly_indexed": 1}


@pytest.mark.parametrize(
    ("statement", "told"),
    [
        ("DELETE FROM has_level WHERE counter = 1 AND outcome = 'main_bonding'", "missing: level main_bonding "),
        ("INSERT INTO rests_on_clause VALUES ('local', '9.9', 1)", "too much: clause 9.9\n"),
        (f"UPDATE rests_on_rule SET rule = 'no-rule' {FIRST_RULE}", "too much: rule no-rule of "),
        (f"UPDATE rests_on_rule SET rule = 'no-rule' {FIRST_RULE}", "missing: rule "),
        ("UPDATE summary SET day = '1999-01-01' WHERE counter = 1", "too much: day 1999-01-01\n"),
        ("UPDATE summary SET recorded_at = '1999' WHERE counter = 1", "too much: recorded at 1999\n"),
        ("DELETE FROM summary WHERE counter = 1", "missing: id "),
    ],
)
def test_a_record_that_is_not_found_by_what_it_says_is_told_among_all(
    statement: str, told: str, tmp_path: Path, ids: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    forge_index(tmp_path, statement)

    status = main(["replay", "--all", "--data", str(tmp_path)])

    out = capsys.readouterr().out
    assert (status, out.splitlines()[-1]) == (1, f"3 records replayed: 3 same, {NONE_ELSE}; 1 wrongly indexed.")
    assert out.startswith(f"{ids[0]}: wrongly indexed\n  ")
    assert f"  {told}" in out


def test_what_is_found_but_no_longer_kept_is_broken(tmp_path: Path, ids: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    forge_index(tmp_path, "DELETE FROM record WHERE counter = 3")

    status = main(["replay", "--all", "--data", str(tmp_path)])

    assert (status, f"{ids[2]}: broken: no record has the counter 3" in capsys.readouterr().out) == (1, True)


def test_an_id_that_is_not_recorded_is_a_wrong_call(tmp_path: Path, ids: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["replay", "none", "--data", str(tmp_path)])

    assert "none" not in ids
    assert (status, "none: no evaluation of this id" in capsys.readouterr().err) == (2, True)


@pytest.mark.parametrize("arguments", [[], ["some", "--all"]])
def test_one_record_or_all_is_to_be_asked_for(arguments: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["replay", *arguments, "--data", str(tmp_path)])

    assert (status, capsys.readouterr().err) == (2, "bondwright replay: name one evaluation, or write --all\n")

"""The commands work on records of form 1: replayed, compared with a pack, exported, taken in, shown by their step."""

import hashlib
import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from tests.audit.form_1.records import HERON, TERN, exported, kept_in, record_file

from bondwright.cli import main
from bondwright.shelf.packs import rules_folder

SOUND = "0 same, 6 same levels, 0 different, 0 not evaluated, 0 broken; 0 wrongly indexed."


@pytest.fixture
def first(tmp_path: Path) -> str:
    """The id of the first record of a data folder with records of form 1."""
    return kept_in(record_file(tmp_path), HERON)[0].evaluation_id


def forge(folder: Path, was: bytes, now: bytes) -> None:
    """Changes the first stored answer behind the service's back, its digest with it."""
    with closing(sqlite3.connect(folder / "record.sqlite", isolation_level=None)) as connection:
        select = "SELECT sql FROM sqlite_schema WHERE name = 'record_never_update'"
        (trigger,) = connection.execute(select).fetchone()
        connection.execute("DROP TRIGGER record_never_update")
        where = "WHERE tenant = 'heron' AND counter = 1"
        (kept,) = connection.execute(f"SELECT evaluation_bytes FROM record {where}").fetchone()
        assert was in kept
        values = kept.replace(was, now, 1), hashlib.sha256(kept.replace(was, now, 1)).hexdigest()
        connection.execute(f"UPDATE record SET evaluation_bytes = ?, evaluation_digest = ? {where}", values)
        connection.execute(trigger)


def test_a_replay_says_that_levels_are_the_same_and_never_that_bytes_are(
    tmp_path: Path, first: str, capsys: pytest.CaptureFixture[str]
) -> None:
    status = main(["replay", first, "--tenant", HERON, "--data", str(tmp_path)])

    told = capsys.readouterr().out
    assert (status, told.splitlines()[0]) == (0, f"{first}: the same in every level and size, by rule pack bs7671-2018-a4-r2")
    assert "an answer of form 1, which no answer of form 4 can be compared with byte for byte" in told
    assert "the same, byte for byte" not in told


def test_json_says_so_too(tmp_path: Path, first: str, capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["replay", first, "--tenant", HERON, "--data", str(tmp_path), "--format", "json"])

    told = json.loads(capsys.readouterr().out)
    assert (status, told["same_bytes"], told["same_levels"], told["form_then"], told["form_now"]) == (0, "not_comparable", True, 1, 4)


def test_all_of_them_are_counted_apart_and_nothing_is_wanting(tmp_path: Path, first: str, capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["replay", "--all", "--tenant", HERON, "--data", str(tmp_path)])

    assert (status, capsys.readouterr().out) == (0, f"6 records replayed: {SOUND}\n")
    assert first


def test_another_level_is_told_with_its_place_and_found_wanting(tmp_path: Path, first: str, capsys: pytest.CaptureFixture[str]) -> None:
    forge(tmp_path, b'"act_on":"required"', b'"act_on":"not_required"')

    statuses = [main(["replay", *what, "--tenant", HERON, "--data", str(tmp_path)]) for what in ([first], ["--all"])]

    told = capsys.readouterr().out
    assert statuses == [1, 1]
    assert told.count(f'{first}: different at /parts/0/verdicts/1/act_on\n  was  "not_required"\n  now  "required"\n') == 2
    assert "6 records replayed: 0 same, 5 same levels, 1 different" in told


def test_other_words_alone_are_no_difference(tmp_path: Path, first: str) -> None:
    forge(tmp_path, b'"words":"', b'"words":"other ')

    assert main(["replay", first, "--tenant", HERON, "--data", str(tmp_path)]) == 0


def test_the_newest_pack_changes_only_what_an_older_pack_judged(tmp_path: Path, first: str, capsys: pytest.CaptureFixture[str]) -> None:
    candidate = rules_folder() / "published" / "bs7671-2018-a4-r11.yaml"

    status = main(["impact", "--pack", str(candidate), "--tenant", HERON, "--data", str(tmp_path), "--format", "json"])

    records = json.loads(capsys.readouterr().out)["records"]
    assert (status, records) == (0, {"judged": 5, "changed": 3, "same": 2, "not_touched": 1, "not_evaluated": 0})
    assert first


def test_they_are_exported_and_taken_in_elsewhere(tmp_path: Path, first: str, capsys: pytest.CaptureFixture[str]) -> None:
    there, file = tmp_path / "there", tmp_path / "tern.jsonl"

    statuses = [
        main(["export", str(file), "--tenant", TERN, "--data", str(tmp_path)]),
        main(["import", str(file), "--data", str(there)]),
        main(["replay", "--all", "--tenant", TERN, "--data", str(there)]),
        main(["database", "show", "--data", str(there)]),
    ]

    assert first
    assert (statuses, file.read_bytes()) == ([0, 0, 0, 0], b"".join(exported()))
    assert kept_in(there / "record.sqlite", TERN) == kept_in(tmp_path / "record.sqlite", TERN)
    assert "3 records replayed: 0 same, 3 same levels," in capsys.readouterr().out

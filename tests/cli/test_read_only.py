"""Commands that only read: they make nothing, change nothing, need no permission to write, and fail where there is nothing to examine."""

import asyncio
import hashlib
import json
import os
import shutil
import sqlite3
import subprocess
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import psycopg
import pytest
from tests.audit.form_1.records import HERON, record_file
from tests.cli.command import BONDWRIGHT, HOUSE, bondwright
from tests.cli.server import ask, serving
from tests.postgresql_server import PostgresqlServer
from tests.rules.revisions import newest_id

from bondwright.assembly import build
from bondwright.audit.sqlite.evidence import SqliteEvidence
from bondwright.cli import main
from bondwright.errors import RecordBroken
from bondwright.settings import Settings
from bondwright.shelf.packs import rules_folder

CANDIDATE = str(rules_folder() / "published" / f"{newest_id('bs7671-2018-a4')}.yaml")
"""The newest pack, which is never the withdrawn one."""
EXAMINING = [["replay", "--all"], ["impact", "--pack", CANDIDATE], ["export", "EXPORTED"]]
READING = [*EXAMINING, ["replay", "none"], ["keys", "list"], ["tenants"]]


def kept(folder: Path, *tenants: str) -> str:
    """The id of the last of some recorded evaluations, one of each tenant."""
    with closing(build(Settings(folder))) as service:
        return [asyncio.run(service.submit(HOUSE.read_bytes(), tenant)).evaluation_id for tenant in tenants][-1]


def state(folder: Path) -> dict[str, tuple[str, int]]:
    """Of each file below `folder`: what it holds, and when it was changed."""
    return {
        path.relative_to(folder).as_posix(): (hashlib.sha256(path.read_bytes()).hexdigest(), path.stat().st_mtime_ns)
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def called(arguments: list[str], folder: Path, elsewhere: Path) -> int:
    """The status of a command on the record in `folder`; what it exports goes `elsewhere`."""
    return main([argument.replace("EXPORTED", str(elsewhere / "exported")) for argument in arguments] + ["--data", str(folder)])


@pytest.mark.parametrize("arguments", READING, ids=" ".join)
def test_a_mistyped_folder_is_a_failure_and_is_not_made(arguments: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()

    status = called(arguments, tmp_path / "mistyped" / "more", elsewhere)

    assert status == 3
    assert f"nothing is kept at {tmp_path / 'mistyped' / 'more' / 'record.sqlite'}; --data names the folder" in capsys.readouterr().err
    assert [path.name for path in tmp_path.rglob("*")] == ["elsewhere"]


def test_looking_at_how_a_mistyped_folder_is_laid_out_makes_nothing(tmp_path: Path) -> None:
    assert main(["database", "show", "--data", str(tmp_path / "mistyped")]) == 0
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "arguments",
    [
        ["evaluate", str(HOUSE)],
        ["calculate", "isolation-reading", "--measured-ohm", "7000"],
        ["rules", "list"],
        ["rules", "scope"],
        ["rules", "history"],
        ["rules", "show", "411.3.1.2"],
        ["rules", "diff", "bs7671-2018-a3-r6", "bs7671-2018-a4-r6"],
        ["rules", "consolidate", "bs7671/2018-a4"],
        ["demo"],
    ],
    ids=lambda arguments: " ".join(arguments[:2]),
)
def test_what_needs_no_record_makes_no_folder_for_one(
    arguments: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("BONDWRIGHT_DATA", str(tmp_path / "data"))

    status = main(arguments)

    assert (status, capsys.readouterr().err, list(tmp_path.iterdir())) == (0, "", [])


@pytest.mark.parametrize("arguments", EXAMINING, ids=" ".join)
def test_a_mistyped_tenant_is_a_failure(arguments: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data, elsewhere = tmp_path / "data", tmp_path / "elsewhere"
    elsewhere.mkdir()
    kept(data, "acme")

    status = called([*arguments, "--tenant", "acne"], data, elsewhere)

    assert (status, list(elsewhere.iterdir())) == (3, [])
    assert "tenant acne has no record here; `bondwright tenants` lists who has" in capsys.readouterr().err


@pytest.mark.parametrize("arguments", EXAMINING, ids=" ".join)
def test_a_tenant_that_is_left_out_is_a_failure_where_keys_are_asked_for(
    arguments: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data, elsewhere = tmp_path / "data", tmp_path / "elsewhere"
    elsewhere.mkdir()
    kept(data, "acme")

    assert (called(arguments, data, elsewhere), list(elsewhere.iterdir())) == (3, [])
    assert "has no record here; `bondwright tenants` lists who has" in capsys.readouterr().err


def test_tenants_are_listed_with_how_many_records_they_have(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    kept(tmp_path, "acme", "zeta", "acme")
    main(["keys", "create", "--tenant", "newcomer", "--scope", "read", "--data", str(tmp_path)])
    capsys.readouterr()

    statuses = [main(["tenants", "--data", str(tmp_path), *how]) for how in ([], ["--format", "json"])]

    text, _, as_json = capsys.readouterr().out.strip().rpartition("\n")
    assert statuses == [0, 0]
    assert text == "acme  2 records\nnewcomer  0 records\nzeta  1 record"
    assert json.loads(as_json) == [{"tenant": name, "records": count} for name, count in (("acme", 2), ("newcomer", 0), ("zeta", 1))]


def at_rest(folder: Path, copy: Path) -> None:
    """A copy of a file that was closed."""
    shutil.copytree(folder, copy)


def with_a_log(folder: Path, copy: Path, *more: str) -> None:
    """A copy made while a service has the file open, with the log that it has not written into the file yet."""
    with closing(sqlite3.connect(folder / "record.sqlite", isolation_level=None)) as service:
        service.execute("PRAGMA wal_autocheckpoint = 0")
        service.execute("BEGIN")
        service.execute("INSERT INTO key VALUES ('one', 'late', 'read', '', ?, '2026', NULL, NULL, NULL)", ("0" * 64,))
        service.execute("COMMIT")
        copy.mkdir()
        for suffix in ("", "-wal", *more):
            shutil.copy(folder / f"record.sqlite{suffix}", copy)


def with_a_log_and_its_index(folder: Path, copy: Path) -> None:
    """The same with the file by which its readers find what stands in the log."""
    with_a_log(folder, copy, "-shm")


COPIES = [at_rest, with_a_log, with_a_log_and_its_index]


@pytest.mark.parametrize("copied", COPIES)
def test_reading_changes_no_byte_and_makes_no_file(copied: Callable[[Path, Path], None], tmp_path: Path) -> None:
    elsewhere, copy = tmp_path / "elsewhere", tmp_path / "copy"
    elsewhere.mkdir()
    evaluation_id = kept(tmp_path / "data", "local")
    copied(tmp_path / "data", copy)
    before = {name: found for name, found in state(copy).items() if not name.endswith("-shm")}

    statuses = [called(arguments, copy, elsewhere) for arguments in [*EXAMINING, ["replay", evaluation_id], ["keys", "list"], ["tenants"]]]
    statuses.append(main(["import", str(elsewhere / "exported"), "--data", str(tmp_path / "again")]))

    assert statuses == [0] * 7
    assert {name: found for name, found in state(copy).items() if not name.endswith("-shm")} == before


def unwritable(folder: Path) -> list[str | Path]:
    """What a command begins with so that it can write nothing in `folder`: root may write anywhere but on a disk that is read-only."""
    for path in folder.iterdir():
        path.chmod(0o444)
    folder.chmod(0o555)
    if os.geteuid():
        return []
    mount: list[str | Path] = [
        "unshare",
        "--mount",
        "sh",
        "-c",
        'mount --bind "$0" "$0" && mount -o remount,bind,ro "$0" && exec "$@"',
        folder,
    ]
    trial = subprocess.run([*mount, "true"], capture_output=True, text=True, timeout=60)
    if trial.returncode:
        pytest.skip(f"no disk can be made read-only here: {trial.stderr.strip()}")
    return mount


@pytest.mark.parametrize("copied", COPIES)
def test_a_copy_that_may_not_be_written_in_a_folder_that_may_not_is_examined(copied: Callable[[Path, Path], None], tmp_path: Path) -> None:
    copy = tmp_path / "copy"
    kept(tmp_path / "data", "local")
    copied(tmp_path / "data", copy)
    before = unwritable(copy)

    told = [
        subprocess.run([*before, BONDWRIGHT, *arguments, "--data", copy], capture_output=True, check=False, timeout=120)
        for arguments in (["replay", "--all"], ["export", tmp_path / "exported"], ["tenants"], ["keys", "list"])
    ]
    copy.chmod(0o755)

    assert [(one.returncode, one.stderr) for one in told] == [(0, b"")] * 4
    assert told[0].stdout.startswith(b"1 records replayed: 1 same,")
    assert (b"late" in told[3].stdout) == (copied is not at_rest)


def test_a_file_of_an_earlier_layout_is_examined_and_stays_as_it_is(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    record_file(tmp_path)
    before = state(tmp_path)

    statuses = [main([*arguments, "--data", str(tmp_path)]) for arguments in (["replay", "--all", "--tenant", HERON], ["tenants"])]

    assert (statuses, state(tmp_path)) == ([0, 0], before)
    assert f"{HERON}  6 records" in capsys.readouterr().out


def test_what_a_service_adds_meanwhile_is_seen_also_where_it_starts_later(tmp_path: Path) -> None:
    kept(tmp_path, "local")
    counts = []
    with closing(SqliteEvidence(tmp_path / "record.sqlite")) as evidence:
        counts.append(evidence.count("local"))
        with serving(tmp_path, "--no-auth") as (address, _):
            for _ in range(2):
                ask(f"{address}/v1/evaluations", HOUSE.read_bytes()).close()
                counts.append(evidence.count("local"))
            status = bondwright("replay", "--all", "--data", tmp_path)

    assert counts == [1, 2, 3]
    assert status.stdout.startswith(b"3 records replayed: 3 same,")


def test_a_file_at_rest_that_changes_under_its_reader_is_read_anew(tmp_path: Path) -> None:
    kept(tmp_path, "local")
    with closing(SqliteEvidence(tmp_path / "record.sqlite")) as evidence:
        before = evidence.count("local")
        kept(tmp_path, "local")

        assert (before, evidence.count("local")) == (1, 2)


def test_evidence_takes_nothing(tmp_path: Path) -> None:
    kept(tmp_path, "local")
    with closing(build(Settings(tmp_path), to_read=True)) as service:
        with pytest.raises(RecordBroken, match="read only"):
            asyncio.run(service.submit(HOUSE.read_bytes()))
        with pytest.raises(RecordBroken, match="read only"):
            service.ready()


@pytest.fixture
def database(server: PostgresqlServer, monkeypatch: pytest.MonkeyPatch) -> str:
    """The address of a database with a record of each of two tenants, for its owner; one of them has a key."""
    owned = server.new_owned_database()
    monkeypatch.setenv("BONDWRIGHT_DATABASE", owned)
    assert main(["database", "up"]) == 0
    assert main(["keys", "create", "--tenant", "acme", "--scope", "read"]) == 0
    with closing(build(Settings(Path("/nowhere"), server.as_user(owned, server.new_user(server.as_owner(owned)))))) as service:
        for tenant in ("local", "acme"):
            asyncio.run(service.submit(HOUSE.read_bytes(), tenant))
    return owned


def test_a_reader_of_a_database_examines_it_and_may_add_nothing(
    server: PostgresqlServer, database: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with psycopg.connect(server.as_owner(database), autocommit=True) as connection:
        connection.execute("DROP ROLE IF EXISTS auditor")
        connection.execute("CREATE ROLE auditor LOGIN IN ROLE bondwright_reader")
    monkeypatch.setenv("BONDWRIGHT_DATABASE", server.as_user(database, "auditor"))

    examined = [
        main([argument.replace("EXPORTED", str(tmp_path / tenant)) for argument in [*arguments, "--tenant", tenant]])
        for arguments in EXAMINING
        for tenant in ("local", "acme")
    ]
    capsys.readouterr()
    kept(tmp_path / "other", "other")
    main(["export", str(tmp_path / "others"), "--tenant", "other", "--data", str(tmp_path / "other")])
    others = [main(arguments) for arguments in (["replay", "--all", "--tenant", "acne"], ["import", str(tmp_path / "others")], ["tenants"])]

    told = capsys.readouterr().err
    assert (examined, others) == ([0] * 6, [3, 1, 1])
    assert "tenant acne has no record here" in told
    assert "this user may not read who has keys; the owner may, and the service's user" in told


def test_tenants_of_a_database_are_those_with_keys_and_the_one_that_needs_none(database: str, capsys: pytest.CaptureFixture[str]) -> None:
    capsys.readouterr()

    status = main(["tenants"])

    assert database
    assert (status, capsys.readouterr().out) == (0, "acme  1 record\nlocal  1 record\n")

"""`bondwright keys`: made, listed, rotated and revoked, on a file as on a database; a key is shown once and kept nowhere."""

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from tests.postgresql_server import PostgresqlServer

from bondwright.access.keys import read_key
from bondwright.cli import main

CREATE = ["keys", "create", "--tenant", "acme", "--scope", "evaluate,read"]


@pytest.fixture(params=["file", "database"])
def place(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The arguments that say where keys are kept: a folder, or none where the environment names a database."""
    if request.param == "file":
        return ["--data", str(tmp_path)]
    server: PostgresqlServer = request.getfixturevalue("server")
    monkeypatch.setenv("BONDWRIGHT_DATABASE", server.new_owned_database())
    assert main(["database", "up"]) == 0
    return []


def listed(place: list[str], capsys: pytest.CaptureFixture[str]) -> list[dict[str, Any]]:
    """The keys as the command lists them."""
    capsys.readouterr()
    assert main(["keys", "list", "--format", "json", *place]) == 0
    found: list[dict[str, Any]] = json.loads(capsys.readouterr().out)
    return found


def lasts(key: dict[str, Any]) -> timedelta | None:
    """How long a listed key is good from when it was made; none, if for ever."""
    made, ends = (datetime.fromisoformat(key[name]) if key[name] else None for name in ("created_at", "expires_at"))
    return ends - made if made and ends else None


def test_a_key_is_printed_once_and_kept_only_as_a_digest(place: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    capsys.readouterr()
    status = main([*CREATE, "--label", "the office", "--days", "30", *place])
    text = capsys.readouterr().out.strip()
    read = read_key(text)

    (key,) = listed(place, capsys)
    kept = b"".join(path.read_bytes() for path in tmp_path.rglob("*") if path.is_file())

    assert (status, read is not None) == (0, True)
    assert (key["tenant"], key["scopes"], key["label"]) == ("acme", "evaluate read", "the office")
    assert (key["expires_at"] > key["created_at"], key["revoked_at"], key["last_used_at"]) == (True, None, None)
    assert text.split("_")[2].encode() not in kept


def test_a_rotated_key_ends_and_its_follower_is_for_the_same(place: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    main([*CREATE, *place])
    (old,) = listed(place, capsys)

    status = main(["keys", "rotate", old["key_id"], "--overlap-days", "1", *place])
    by_id = {key["key_id"]: key for key in listed(place, capsys)}
    (new,) = (key for key_id, key in by_id.items() if key_id != old["key_id"])

    assert status == 0
    assert (new["tenant"], new["scopes"], lasts(new)) == ("acme", "evaluate read", timedelta(days=365))
    assert by_id[old["key_id"]]["expires_at"] > old["created_at"]


@pytest.mark.parametrize(
    ("asked", "wanted"),
    [
        ([], timedelta(days=365)),
        (["--days", "1"], timedelta(days=1)),
        (["--days", "3650"], timedelta(days=3650)),
        (["--never-expires"], None),
    ],
)
def test_a_key_lasts_for_the_stated_days_and_for_ever_only_where_that_is_asked_for_by_name(
    asked: list[str], wanted: timedelta | None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    place = ["--data", str(tmp_path)]

    made = main([*CREATE, *asked, *place])
    (old,) = listed(place, capsys)
    rotated = main(["keys", "rotate", old["key_id"], *asked, *place])
    new = next(key for key in listed(place, capsys) if key["key_id"] != old["key_id"])

    assert (made, rotated, lasts(old), lasts(new)) == (0, 0, wanted, wanted)


def test_a_rotated_key_may_end_at_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    place = ["--data", str(tmp_path)]
    main([*CREATE, *place])
    (old,) = listed(place, capsys)

    status = main(["keys", "rotate", old["key_id"], "--overlap-days", "0", *place])
    ended = next(key for key in listed(place, capsys) if key["key_id"] == old["key_id"])["expires_at"]

    assert (status, ended <= datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")) == (0, True)


def test_a_revoked_key_says_so(place: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    main([*CREATE, *place])
    (key,) = listed(place, capsys)

    status = main(["keys", "revoke", key["key_id"], *place])

    assert (status, listed(place, capsys)[0]["revoked_at"] is not None) == (0, True)


def test_keys_are_listed_as_text(place: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    main([*CREATE, *place])
    capsys.readouterr()

    status = main(["keys", "list", *place])

    told = capsys.readouterr().out
    assert (status, "tenant acme  scopes evaluate read" in told, "secret" in told) == (0, True, False)


@pytest.mark.parametrize("act", ["rotate", "revoke"])
def test_a_key_that_is_not_there_is_a_wrong_call(act: str, place: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["keys", act, "none", *place])

    assert (status, "no key of this id" in capsys.readouterr().err) == (2, True)


@pytest.mark.parametrize(
    ("wrong", "why"),
    [
        (["--tenant", "Acme", "--scope", "read"], "small letters"),
        (["--tenant", "", "--scope", "read"], "small letters"),
        (["--tenant", "acme", "--scope", "write"], "scopes are evaluate, read, audit, rules"),
        (["--tenant", "acme", "--scope", "read", "--days", "-1"], "write --never-expires"),
        (["--tenant", "acme", "--scope", "read", "--days", "0"], "days are a whole number from 1 to 3650"),
        (["--tenant", "acme", "--scope", "read", "--days", "3651"], "days are a whole number from 1 to 3650"),
        (["--tenant", "acme", "--scope", "read", "--days", "1.5"], "days are a whole number from 1 to 3650"),
        (["--tenant", "acme", "--scope", "read", "--days", "1", "--never-expires"], "not allowed with argument --days"),
        (["--tenant", "acme", "--scope", "read", "--label", "a\nb"], "printable"),
    ],
)
def test_a_wrong_argument_is_told(wrong: list[str], why: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["keys", "create", *wrong])

    assert (ended.value.code, why in capsys.readouterr().err) == (2, True)


def test_a_wrong_number_of_days_is_told_when_rotating_too(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["keys", "rotate", "some", "--days", "0"])

    assert (ended.value.code, "write --never-expires" in capsys.readouterr().err) == (2, True)

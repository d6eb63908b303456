"""`bondwright export` and `bondwright import`: from one folder to another."""

import asyncio
import hashlib
import json
import re
import signal
import subprocess
import sys
from base64 import b64decode, b64encode
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from tests import forked
from tests.cli.command import HOUSE

from bondwright.assembly import build
from bondwright.cli import main
from bondwright.settings import Settings

CHILD = Path(__file__).with_name("until_signalled.py")


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


def relabelled(file: Path, change: Callable[[dict[str, Any]], None]) -> None:
    """Changes the content of each record in a file and works all digests out anew, as whoever means to deceive can."""
    digest, lines = "", []
    for raw in file.read_bytes().splitlines():
        line = json.loads(raw)["line"]
        if line["kind"] == "record":
            change(line)
        content = json.dumps(line, separators=(",", ":")).encode()
        digest = hashlib.sha256(digest.encode() + content).hexdigest()
        lines.append(b'{"sha256":"%s","line":%s}\n' % (digest.encode(), content))
    file.write_bytes(b"".join(lines))


def at_another_time(record: dict[str, Any]) -> None:
    """What no digest and no replay can find: a record said to be older than it is, and another's."""
    record |= {"recorded_at": "2026-01-02T03:04:05.000Z", "evaluation_id": "00000000-0000-7000-8000-000000000000"}


def with_another_verdict(record: dict[str, Any]) -> None:
    """What a replay finds."""
    evaluation = b64decode(record["evaluation_bytes"]).replace(b'"act_on":"required"', b'"act_on":"not_required"')
    record |= {"evaluation_bytes": b64encode(evaluation).decode(), "evaluation_digest": hashlib.sha256(evaluation).hexdigest()}


def last_digests(told: str) -> list[str]:
    """Each digest that was printed."""
    return re.findall(r"\b[0-9a-f]{64}\b", told)


@pytest.mark.parametrize(("change", "replayed"), [(at_another_time, 0), (with_another_verdict, 1)])
def test_an_import_says_what_it_shows_for_fresh_digests_pass_and_only_a_replay_looks_at_verdicts(
    change: Callable[[dict[str, Any]], None], replayed: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    here, there, file = tmp_path / "here", tmp_path / "there", tmp_path / "records.jsonl"
    with closing(build(Settings(here))) as service:
        asyncio.run(service.submit(HOUSE.read_bytes()))
    main(["export", str(file), "--data", str(here)])
    (exported,) = last_digests(capsys.readouterr().out)

    relabelled(file, change)
    statuses = [main(["import", str(file), "--data", str(there)])]
    told = capsys.readouterr().out
    statuses.append(main(["replay", "--all", "--data", str(there)]))

    assert statuses == [0, replayed]
    assert last_digests(told) != [exported]
    assert "not who made them" in " ".join(told.split()) and "`bondwright replay --all`" in told


def test_export_and_import_of_the_same_file_tell_the_same_digest(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with closing(build(Settings(tmp_path / "here"))) as service:
        asyncio.run(service.submit(HOUSE.read_bytes()))

    statuses = [main(["export", str(tmp_path / "file"), "--data", str(tmp_path / "here")])]
    statuses.append(main(["import", str(tmp_path / "file"), "--data", str(tmp_path / "there")]))

    exported, imported = last_digests(capsys.readouterr().out)
    assert (statuses, exported == imported) == ([0, 0], True)


def test_no_file_is_overwritten(tmp_path: Path) -> None:
    with closing(build(Settings(tmp_path))) as service:
        asyncio.run(service.submit(HOUSE.read_bytes()))
    (tmp_path / "there").write_text("mine")

    assert main(["export", str(tmp_path / "there"), "--data", str(tmp_path)]) == 2
    assert (tmp_path / "there").read_text() == "mine"


def until_signalled(event: str, number: signal.Signals, call: list[str]) -> "subprocess.CompletedProcess[bytes]":
    """How a command ended that was sent a signal at that moment."""
    return forked.run([CHILD, event, str(int(number)), "1", *call])


@pytest.mark.parametrize(
    ("event", "number", "ended"),
    [
        ("tempfile.mkstemp", signal.SIGTERM, 128 + signal.SIGTERM),
        ("tempfile.mkstemp", signal.SIGINT, 128 + signal.SIGINT),
        ("tempfile.mkstemp", signal.SIGKILL, -signal.SIGKILL),
        ("os.link", signal.SIGKILL, -signal.SIGKILL),
    ],
)
def test_an_export_that_is_stopped_leaves_no_half_of_a_file_and_the_same_call_makes_it_whole(
    event: str, number: signal.Signals, ended: int, tmp_path: Path
) -> None:
    data, out = tmp_path / "data", tmp_path / "out"
    out.mkdir()
    with closing(build(Settings(data))) as service:
        asyncio.run(service.submit(HOUSE.read_bytes()))
    call = ["export", str(out / "file"), "--data", str(data)]

    stopped = until_signalled(event, number, call)
    there = [path.name for path in out.iterdir() if not path.name.startswith(".")]
    again = main(call)

    assert (stopped.returncode, there, again) == (ended, [], 0)
    assert b"Traceback" not in stopped.stderr
    assert main(["import", str(out / "file"), "--data", str(tmp_path / "there")]) == 0


def test_an_export_that_is_asked_to_stop_says_so_and_leaves_nothing(tmp_path: Path) -> None:
    data, out = tmp_path / "data", tmp_path / "out"
    out.mkdir()
    with closing(build(Settings(data))) as service:
        asyncio.run(service.submit(HOUSE.read_bytes()))

    stopped = until_signalled("tempfile.mkstemp", signal.SIGTERM, ["export", str(out / "file"), "--data", str(data)])

    assert stopped.stderr.decode() == f"{out / 'file'}: stopped, and not written; the same call writes it whole\n"
    assert list(out.iterdir()) == []


def test_an_export_to_a_full_disk_is_told_and_leaves_nothing(tmp_path: Path) -> None:
    data, out = tmp_path / "data", tmp_path / "out"
    out.mkdir()
    with closing(build(Settings(data))) as service:
        asyncio.run(service.submit(HOUSE.read_bytes()))

    limited = (
        "import resource, sys; resource.setrlimit(resource.RLIMIT_FSIZE, (50_000,) * 2)\nfrom bondwright.cli import main; sys.exit(main())"
    )
    call = [sys.executable, "-c", limited, "export", str(out / "file"), "--data", str(data)]
    stopped = subprocess.run(call, capture_output=True, check=False, timeout=300)

    assert (stopped.returncode, list(out.iterdir())) == (2, [])
    assert stopped.stderr.decode() == f"{out / 'file'}: cannot be written (File too large)\n"


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

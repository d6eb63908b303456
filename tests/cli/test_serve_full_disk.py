"""`bondwright serve` where the files of its record may grow no further: not ready while nothing can be kept, and ready again by itself."""

import json
import resource
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from urllib.error import HTTPError

import pytest
from tests.cli.command import HOUSE
from tests.cli.server import ask, serving

from bondwright.assembly import build
from bondwright.settings import Settings

MOST = 200
"""More evaluations than fit."""
ROOM = 300_000
"""Bytes that the files of the record may still grow by: some records more."""


def status(address: str, path: str, body: bytes | None = None) -> int:
    """What the service answers there."""
    try:
        with ask(address + path, body) as answer:
            return answer.status
    except HTTPError as error:
        with error:
            return error.code


def evaluated(address: str) -> int:
    """What it answers to a house."""
    return status(address, "/v1/evaluations", HOUSE.read_bytes())


def may_grow_to(process: int, size: int) -> None:
    """Lets that process write no file beyond so many bytes."""
    resource.prlimit(process, resource.RLIMIT_FSIZE, (size, resource.RLIM_INFINITY))


@pytest.fixture(scope="module")
def met(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, object]]:
    """What callers met before, while and after the files could not grow, in this order, and how many were recorded."""
    data: Path = tmp_path_factory.mktemp("full")
    with serving(data, "--no-auth") as (address, process):
        found: dict[str, object] = {"before": [evaluated(address), status(address, "/readyz")]}
        may_grow_to(process.pid, max(file.stat().st_size for file in data.iterdir()) + ROOM)
        statuses = [evaluated(address)]
        while statuses[-1] == 201 and len(statuses) < MOST:
            statuses.append(evaluated(address))
        found["refused"] = [statuses[-1], *(status(address, "/readyz") for _ in range(3)), evaluated(address), status(address, "/livez")]
        may_grow_to(process.pid, resource.RLIM_INFINITY)
        found["ready again"] = status(address, "/readyz")
        found["after"] = [evaluated(address), status(address, "/readyz")]
        with ask(address + "/v1/evaluations?limit=100") as answer:
            found["kept"] = [one["counter"] for one in json.load(answer)["evaluations"]]
        with closing(sqlite3.connect(data / "record.sqlite")) as connection:
            found["tables"] = [name for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")]
        found["answered"] = 2 + statuses.count(201)
    yield found


def test_while_its_files_cannot_grow_evaluations_are_refused_and_it_is_not_ready(met: dict[str, object]) -> None:
    assert met["before"] == [201, 200]
    assert met["refused"] == [503, 503, 503, 503, 503, 200]


def test_once_they_can_it_is_ready_by_itself_and_records_again(met: dict[str, object]) -> None:
    assert (met["ready again"], met["after"]) == (200, [201, 200])


def test_just_what_was_answered_is_kept(met: dict[str, object]) -> None:
    assert met["kept"] == list(range(1, int(str(met["answered"])) + 1))


def test_what_was_tried_meanwhile_leaves_nothing_behind(met: dict[str, object], tmp_path: Path) -> None:
    with closing(build(Settings(tmp_path))) as fresh:
        fresh.ready()
    with closing(sqlite3.connect(tmp_path / "record.sqlite")) as connection:
        tables = [name for (name,) in connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")]

    assert met["tables"] == tables

"""Told to stop under load, the service answers what it took on, and everything that it answered is in the record."""

import asyncio
import os
import select
import signal
import socket
import subprocess
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from pathlib import Path
from typing import IO

import pytest
from tests.cli.clients import Met, posting, readiness
from tests.cli.command import BONDWRIGHT
from tests.forked import Forked
from tests.postgresql_server import PostgresqlServer

from bondwright.assembly import Bondwright, build
from bondwright.audit.record import Search
from bondwright.cli import main
from bondwright.settings import Settings, read_settings

LEAVING_AT_ONCE = Path(__file__).with_name("serve_leaving_at_once.py")
CONNECTIONS = 16
ENOUGH_ANSWERS = 40
PATIENCE_S = 60


def stopped_under_load(command: list[str | Path]) -> tuple[Met, int, bool]:
    """What the clients of a server met that was told to stop in the middle, its exit status, and whether it was refused to connect then."""
    with started(command, {}) as (process, address):
        met, refused = asyncio.run(_under_load(process, address))
        return met, process.wait(PATIENCE_S), refused


@contextmanager
def started(command: list[str | Path], environment: Mapping[str, str]) -> "Iterator[tuple[subprocess.Popen[bytes], tuple[str, int]]]":
    """A server's process and its address, which is the second word that it prints; ended at the latest when the block ends."""
    with (
        Path(os.devnull).open("wb") as nowhere,
        Forked(command, {**os.environ, **environment}, stdout=subprocess.PIPE, stderr=nowhere) as process,
    ):
        try:
            yield process, _address(process.stdout)
        finally:
            process.kill()


def _address(said: IO[bytes] | None) -> tuple[str, int]:
    assert said
    assert select.select([said], [], [], PATIENCE_S)[0], "nothing was printed in time"
    host, _, port = said.readline().decode().split()[1].removeprefix("http://").partition(":")
    return host, int(port)


async def _under_load(process: "subprocess.Popen[bytes]", address: tuple[str, int]) -> tuple[Met, bool]:
    met = Met()

    async def told_to_stop() -> None:
        while len(met.answered) < ENOUGH_ANSWERS:
            await asyncio.sleep(0.01)
        process.send_signal(signal.SIGTERM)

    async with asyncio.timeout(PATIENCE_S):
        await asyncio.gather(told_to_stop(), *(posting(address, met) for _ in range(CONNECTIONS)))
    with socket.socket() as later:
        return met, later.connect_ex(address) != 0


@pytest.fixture(params=["SQLite", "PostgreSQL"])
def settings(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Settings:
    """Where records are kept, as the environment says it, too."""
    monkeypatch.setenv("BONDWRIGHT_DATA", str(tmp_path))
    if request.param == "PostgreSQL":
        server: PostgresqlServer = request.getfixturevalue("server")
        owned = server.new_owned_database()
        monkeypatch.setenv("BONDWRIGHT_DATABASE", owned)
        assert main(["database", "up"]) == 0
        monkeypatch.setenv("BONDWRIGHT_DATABASE", server.as_user(owned, server.new_user(server.as_owner(owned))))
    return read_settings()


def test_told_to_stop_under_load_it_answers_all_and_has_recorded_what_it_answered(settings: Settings) -> None:
    met, status, refused = stopped_under_load([BONDWRIGHT, "serve", "--no-auth", "--port", "0"])

    with closing(build(settings)) as bondwright:
        recorded = {name: bondwright.stored(name).body for name in _recorded(bondwright)}
    assert (status, refused) == (0, True)
    assert (met.unanswered, met.refused) == (0, [])
    assert met.answered == recorded


def test_a_server_that_leaves_at_once_loses_answers(tmp_path: Path) -> None:
    met, _, _ = stopped_under_load([LEAVING_AT_ONCE, tmp_path])

    assert met.unanswered + len(met.refused) > 0


def test_while_it_drains_it_is_not_ready_and_still_answers(tmp_path: Path) -> None:
    met = Met()

    async def drained(process: "subprocess.Popen[bytes]", address: tuple[str, int]) -> None:
        asking = asyncio.create_task(readiness(address, met))
        while not met.ready:
            await asyncio.sleep(0.01)
        process.send_signal(signal.SIGTERM)
        await asking
        met.ready.clear()  # the last answer may have been on its way when the signal came
        await readiness(address, met)
        await posting(address, met)

    command: list[str | Path] = [BONDWRIGHT, "serve", "--no-auth", "--port", "0", "--data", tmp_path]
    with started(command, {"BONDWRIGHT_DRAIN_S": "2"}) as (process, address):
        asyncio.run(drained(process, address))

        assert process.wait(PATIENCE_S) == 0
    assert met.ready == [503]
    assert (len(met.answered), met.refused, met.unanswered) == (1, [], 0)


def _recorded(bondwright: Bondwright) -> Iterator[str]:
    after = None
    while page := bondwright.find(Search(), after, 100):
        yield from (summary.evaluation_id for summary in page)
        after = page[-1].counter

"""What is acknowledged is kept through kills of every process of the PostgreSQL server, and of the processes that append.

Several processes append, with eight threads each. The controls wait for no disk, or answer before they append, and must lose.
"""

import subprocess
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import TypeAlias

import pytest
from tests.audit.conftest import laid_out
from tests.forked import Forked
from tests.postgresql_server import PostgresqlServer

from bondwright.audit.postgresql.store import PostgresqlRecordStore

APPENDER = Path(__file__).with_name("append_and_acknowledge.py")
ENOUGH = "1000000"
Act: TypeAlias = Callable[[], None]
Child: TypeAlias = "subprocess.Popen[bytes]"
PROCESSES, THREADS, ROUNDS, LINES = 3, 8, 3, 40


@pytest.fixture(scope="module")
def server() -> Iterator[PostgresqlServer]:
    """A server that no other test misses; what nobody waits for stays in its memory for long."""
    started = PostgresqlServer("wal_writer_delay=10s", "wal_writer_flush_after=1GB")
    yield started
    started.remove()


def test_nothing_acknowledged_is_lost_when_every_process_of_the_server_is_killed(server: PostgresqlServer) -> None:
    acknowledged, kept = _ended_by_kills(server, "FULL")

    assert len(acknowledged) >= PROCESSES * ROUNDS * LINES
    assert acknowledged - set(kept) == set()
    assert list(kept.values()) == list(range(1, len(kept) + 1))


def test_without_a_sync_at_each_commit_a_kill_of_the_server_loses_records(server: PostgresqlServer) -> None:
    acknowledged, kept = _ended_by_kills(server, "OFF")

    assert acknowledged - set(kept) != set()


@pytest.mark.parametrize("way", ["killed", "frozen"])
def test_every_thread_goes_on_by_itself_when_the_server_is_back(server: PostgresqlServer, way: str) -> None:
    goes, comes_back, rounds = (server.kill, server.start, 2) if way == "killed" else (server.freeze, server.thaw, 1)

    acknowledged, kept = _going_on(server, goes, comes_back, rounds)

    assert len(acknowledged) >= PROCESSES * rounds * (LINES + THREADS)
    assert acknowledged - set(kept) == set()
    assert list(kept.values()) == list(range(1, len(kept) + 1))


def test_nothing_acknowledged_is_lost_when_the_processes_that_append_are_killed(server: PostgresqlServer) -> None:
    acknowledged, kept = _appenders_killed(server, "after")

    assert len(acknowledged) >= PROCESSES * ROUNDS * LINES
    assert acknowledged - set(kept) == set()
    assert list(kept.values()) == list(range(1, len(kept) + 1))


def test_a_service_that_answers_before_it_appends_loses_records_when_it_is_killed(server: PostgresqlServer) -> None:
    acknowledged, kept = _appenders_killed(server, "before")

    assert acknowledged - set(kept) != set()


def _ended_by_kills(server: PostgresqlServer, synchronous: str) -> tuple[set[str], dict[str, int]]:
    """The ids acknowledged by processes whose threads end when the server is killed, and those that are kept with their counters."""
    address, said = laid_out(server), list[str]()
    for _ in range(ROUNDS):
        with _appenders(address, synchronous, "after") as children:
            for child in children:
                said += _lines(child, LINES)
            server.kill()
            # They end by themselves, when the last of their threads is refused.
            for child in children:
                said += _rest(child)
        server.start()
    return _acknowledged(said), _kept(address)


def _going_on(server: PostgresqlServer, goes: Act, comes_back: Act, rounds: int) -> tuple[set[str], dict[str, int]]:
    """The same, of processes whose every thread is refused while the server is gone and is then acknowledged again."""
    address, said = laid_out(server), list[str]()
    with _appenders(address, "FULL", "after", "goes-on") as children:
        for _ in range(rounds):
            for child in children:
                said += _lines(child, LINES)
            goes()
            for child in children:
                said += _until_every_thread(child, is_refused=True)
            comes_back()
            for child in children:
                said += _until_every_thread(child, is_refused=False)
        for child in children:
            child.kill()
            said += _rest(child)
    return _acknowledged(said), _kept(address)


def _appenders_killed(server: PostgresqlServer, when: str) -> tuple[set[str], dict[str, int]]:
    """The same, of processes that are killed at work themselves."""
    address, said = laid_out(server), list[str]()
    for _ in range(ROUNDS):
        with _appenders(address, "FULL", when) as children:
            for child in children:
                said += _lines(child, LINES)
            for child in children:
                child.kill()
            for child in children:
                said += _rest(child)
    return _acknowledged(said), _kept(address)


@contextmanager
def _appenders(address: str, *how: str) -> Iterator[list[Child]]:
    """Processes that append, as the script is told; at the end they are no more."""
    command: list[str | Path] = [APPENDER, address, how[0], ENOUGH, *how[1:]]
    with ExitStack() as stack:
        children = list[Child]()
        for _ in range(PROCESSES):
            children.append(stack.enter_context(Forked(command, stdout=subprocess.PIPE)))
            stack.callback(children[-1].kill)
        yield children


def _lines(child: Child, count: int) -> list[str]:
    assert child.stdout is not None
    return [child.stdout.readline().decode().strip() for _ in range(count)]


def _rest(child: Child) -> list[str]:
    """What it said to its end; a kill may have cut the last line off."""
    assert child.stdout is not None
    return [line.decode().strip() for line in child.stdout if line.endswith(b"\n")]


def _until_every_thread(child: Child, is_refused: bool) -> list[str]:
    """What it says until each of its threads has been refused, or acknowledged."""
    said, threads = list[str](), set[str]()
    while len(threads) < THREADS:
        (line,) = _lines(child, 1)
        assert line, "it ended before every thread had been heard"
        said.append(line)
        if line.startswith("refused: ") == is_refused:
            threads.add(line.split("-")[-2])
    return said


def _acknowledged(said: list[str]) -> set[str]:
    return {line for line in said if not line.startswith("refused: ")}


def _kept(address: str) -> dict[str, int]:
    """Every id that is kept, with its counter."""
    store = PostgresqlRecordStore(address)
    kept = {record.evaluation_id: record.counter for record in store.page("local", None, 1_000_000)}
    store.close()
    return kept

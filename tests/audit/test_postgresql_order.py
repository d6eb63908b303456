"""No commit is answered before the log of the database is synced: the calls of the server's process that writes, as strace saw them."""

import re
import signal
import subprocess
from collections.abc import Callable, Iterator
from tempfile import NamedTemporaryFile

import psycopg
import pytest
from tests.audit.builders import PACK_TEXT, new_record
from tests.audit.conftest import laid_out
from tests.audit.traced_calls import demand_strace
from tests.audit.unsafe import wait_for_no_disk
from tests.postgresql_server import PostgresqlServer

from bondwright.audit.postgresql.store import PostgresqlRecordStore

RECORDS = 20


@pytest.fixture(scope="module")
def server() -> Iterator[PostgresqlServer]:
    """A server that syncs by a call that can be seen, and whose process that syncs in the background comes too late to help."""
    demand_strace()
    started = PostgresqlServer("wal_sync_method=fdatasync", "wal_writer_delay=10s")
    yield started
    started.remove()


@pytest.fixture(scope="module", params=["worker", "sync", "io_uring"])
def address(request: pytest.FixtureRequest, server: PostgresqlServer) -> str:
    """A database of a server that reads and writes in each way that it knows."""
    with psycopg.connect(server.address("postgres"), autocommit=True) as connection:
        known = connection.execute("SELECT enumvals FROM pg_settings WHERE name = 'io_method'").fetchone()
        if request.param not in (known[0] if known else ["worker"]):
            pytest.skip(f"this PostgreSQL has no io_method {request.param}")
        if known:
            connection.execute(f"ALTER SYSTEM SET io_method = {request.param}")
    server.stop()
    server.start()
    return laid_out(server)


@pytest.fixture
def store(address: str) -> Iterator[PostgresqlRecordStore]:
    """A store in it."""
    opened = PostgresqlRecordStore(address)
    yield opened
    opened.close()


def test_no_commit_is_answered_before_the_log_is_synced(store: PostgresqlRecordStore, address: str) -> None:
    answers, too_early = _answers(address, lambda: _append(store))

    assert (answers, too_early) == (RECORDS, 0)


def test_the_trial_of_readiness_waits_for_the_disk(store: PostgresqlRecordStore, address: str) -> None:
    answers, too_early = _answers(address, store.check)

    assert (answers, too_early) == (1, 0)


def test_without_a_sync_at_each_commit_answers_leave_too_early(store: PostgresqlRecordStore, address: str) -> None:
    wait_for_no_disk(store)

    answers, too_early = _answers(address, lambda: _append(store))

    assert (answers, too_early) == (RECORDS, RECORDS)


def _append(store: PostgresqlRecordStore) -> None:
    before = len(store.page("local", None, 1_000_000))
    for n in range(before, before + RECORDS):
        store.append(new_record(f"e{n}"), PACK_TEXT)


def _answers(address: str, work: Callable[[], None]) -> tuple[int, int]:
    """How many commits were answered, and how many of them before the log was written and synced since the commit was asked for."""
    answers = too_early = 0
    since = ""
    for line in _calls(address, work):
        if line.startswith("recvfrom(") and "COMMIT" in line:
            since = "asked "
        elif found := re.match(r"(pwrite64|fdatasync)\(\d+<[^>]*/pg_wal/[0-9A-F]{24}>.*= \d+$", line):
            since += f"{found[1]} "
        elif line.startswith("sendto(") and "COMMIT" in line:
            answers += 1
            too_early += not since.endswith("pwrite64 fdatasync ")
    return answers, too_early


def _calls(address: str, work: Callable[[], None]) -> list[str]:
    """What the process that serves the one connection to the database asked of the system during `work`."""
    with psycopg.connect(address) as connection:
        row = connection.execute(
            "SELECT pid FROM pg_stat_activity WHERE datname = current_database() AND application_name = 'bondwright' "
            "ORDER BY backend_start DESC"
        ).fetchone()
    assert row is not None
    calls = "trace=recvfrom,sendto,pwrite64,fdatasync"
    with NamedTemporaryFile("r", encoding="utf-8") as log:
        strace = ["strace", "-y", "-s", "1000000", "-e", calls, "-o", log.name, "-p", str(row[0])]
        with subprocess.Popen(strace, stderr=subprocess.PIPE, text=True) as tracing:
            assert tracing.stderr is not None
            said = tracing.stderr.readline()
            if "attached" not in said:
                pytest.skip(f"strace may not attach here: {said}")
            work()
            tracing.send_signal(signal.SIGINT)
            tracing.stderr.read()
        return log.read().splitlines()

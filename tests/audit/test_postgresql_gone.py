"""A database that goes and comes back: callers are refused in bounded time, and then answered again by the same process."""

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import psycopg
import pytest
from tests.audit.builders import PACK_TEXT, new_record
from tests.audit.conftest import laid_out
from tests.audit.front import Front, Met
from tests.postgresql_server import PostgresqlServer

from bondwright.audit.postgresql.store import PostgresqlRecordStore
from bondwright.errors import RecordBroken
from bondwright.rulebook.pack import PackHead
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import on_shelf

BOUND_S = 8.0
"""Some times what the service's patience adds up to; a request that hangs would take for ever."""

PROBLEM = frozenset({"application/problem+json"})
WELL, AWAY, READ_ONLY = Met(201, 200, 200, 200), Met(503, 503, 503, 200, PROBLEM), Met(503, 200, 503, 200, PROBLEM)


@dataclass(frozen=True, slots=True)
class Outage:
    """What callers met in its course, and what is kept after it."""

    before: Met
    during: tuple[Met, ...]
    after: tuple[Met, ...]
    answered: int
    read_back_alike: int
    counters: list[int]


@pytest.fixture(scope="module")
def server() -> Iterator[PostgresqlServer]:
    """A server that no other test misses."""
    started = PostgresqlServer()
    yield started
    started.remove()


@pytest.fixture(scope="module")
def packs() -> tuple[PackHead, ...]:
    """The published packs."""
    return on_shelf(rules_folder())


@pytest.fixture(scope="module", params=["stopped", "killed", "frozen", "read-only"])
def outage(request: pytest.FixtureRequest, server: PostgresqlServer, packs: tuple[PackHead, ...]) -> Outage:
    """Each way in which a database goes, and comes back."""
    address = laid_out(server)
    ways: dict[str, tuple[Callable[[], None], Callable[[], None]]] = {
        "stopped": (server.stop, server.start),
        "killed": (server.kill, server.start),
        "frozen": (server.freeze, server.thaw),
        "read-only": (lambda: _read_only(server, address, "on"), lambda: _read_only(server, address, "off")),
    }
    go, come_back = ways[request.param]
    front = Front(packs, address)

    before = front.met()
    go()
    during = tuple(front.met() for _ in range(2))
    come_back()
    after = tuple(front.met() for _ in range(2))

    alike = front.read_back_alike()
    front.close()
    return Outage(before, during, after, len(front.answered), alike, _counters(address))


def test_while_the_database_is_gone_callers_are_refused_and_the_service_is_alive(outage: Outage, request: pytest.FixtureRequest) -> None:
    met = READ_ONLY if "read-only" in request.node.name else AWAY

    assert (outage.before, outage.during) == (WELL, (met,) * 2)


def test_while_the_database_is_gone_nobody_waits_without_bounds(outage: Outage) -> None:
    assert max(met.longest_s for met in outage.during) < BOUND_S


def test_when_the_database_is_back_the_same_process_answers_from_the_first_request_on(outage: Outage) -> None:
    assert outage.after == (WELL,) * 2


def test_through_an_outage_just_what_was_answered_is_kept(outage: Outage) -> None:
    assert outage.counters == list(range(1, outage.answered + 1))
    assert outage.read_back_alike == outage.answered


def test_a_service_started_while_the_database_is_away_is_ready_once_it_is_there(
    server: PostgresqlServer, packs: tuple[PackHead, ...]
) -> None:
    front = Front(packs, laid_out(server))
    server.stop()

    away = front.met()
    server.start()
    back = front.met()
    front.close()

    assert (away, back) == (AWAY, WELL)
    assert away.longest_s < BOUND_S


def test_readers_are_refused_at_once_while_nothing_listens(server: PostgresqlServer) -> None:
    patience_s = 60.0
    store = PostgresqlRecordStore(laid_out(server), patience_s)
    store.append(new_record("e1"), PACK_TEXT)
    server.stop()

    began = time.monotonic()
    with pytest.raises(RecordBroken):
        store.get("local", "e1")
    waited_s = time.monotonic() - began
    server.start()
    store.close()

    assert waited_s < patience_s / 2


def test_a_refusal_is_told_in_one_line(server: PostgresqlServer) -> None:
    store = PostgresqlRecordStore(laid_out(server))
    server.stop()

    with pytest.raises(RecordBroken) as refusal:
        store.append(new_record("e1"), PACK_TEXT)
    server.start()
    store.close()

    assert "\n" not in str(refusal.value)


def _read_only(server: PostgresqlServer, address: str, setting: str) -> None:
    """Makes the database take nothing that is written, or take it again, for whoever connects from now on; nobody stays connected."""
    name = psycopg.conninfo.conninfo_to_dict(address)["dbname"]
    with psycopg.connect(server.address("postgres"), autocommit=True) as connection:
        connection.execute(f"ALTER DATABASE {name} SET default_transaction_read_only = {setting}")
        connection.execute("SELECT pg_terminate_backend(pid, 10000) FROM pg_stat_activity WHERE datname = %s", (name,))


def _counters(address: str) -> list[int]:
    store = PostgresqlRecordStore(address)
    counters = [record.counter for record in store.page("local", None, 1_000_000)]
    store.close()
    return counters

"""Serves from a database whose disk fills up and is emptied: `python serve_from_a_full_postgresql.py FOLDER`, FOLDER a small file system.

Prints what callers met and what is kept, as one JSON object.
"""

import json
import signal
import sys
from contextlib import suppress
from pathlib import Path
from typing import Any

import psycopg
from tests.audit.conftest import laid_out
from tests.audit.front import Front
from tests.postgresql_server import PostgresqlServer

from bondwright.audit.postgresql.store import PostgresqlRecordStore
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import on_shelf


def main(disk: Path) -> None:
    """An alarm after five minutes ends it if something hangs."""
    signal.alarm(300)
    packs = on_shelf(rules_folder())
    server = PostgresqlServer(within=disk)
    try:
        address = laid_out(server)
        print(json.dumps(_served(server, Front(packs, address), disk / "ballast") | {"counters": _counters(address)}))
    finally:
        server.remove()


def _served(server: PostgresqlServer, front: Front, ballast: Path) -> dict[str, Any]:
    met: dict[str, Any] = {"before": [front.met().evaluated for _ in range(5)][-1]}
    _fill(ballast)
    refused = next(found for found in iter(front.met, None) if found.evaluated != 201)
    met["filled"], met["filled, ready"] = refused.evaluated, [refused.ready, front.ready()]
    met["filled, read"] = front.met().read
    ballast.unlink()
    met["emptied, ready"] = front.ready()
    met["emptied"] = front.met().evaluated
    _fill(ballast)
    _end_the_log(server)
    met["log cannot grow"] = front.met().evaluated
    ballast.unlink()
    # It ends itself or tries for long to recover, as it happens.
    with suppress(FileNotFoundError, ProcessLookupError):
        server.kill()
    server.start()
    met["emptied and started"] = front.met().evaluated
    alike = front.read_back_alike()
    front.close()
    return met | {"answered": len(front.answered), "read back alike": alike}


def _fill(ballast: Path) -> None:
    """Leaves no room for a page more."""
    with ballast.open("wb", buffering=0) as file, suppress(OSError):
        while True:
            file.write(bytes(4096))


def _end_the_log(server: PostgresqlServer) -> None:
    """Makes the server need another file for its log, which ends every process that serves a connection."""
    with suppress(psycopg.OperationalError), psycopg.connect(server.address("postgres"), autocommit=True) as connection:
        connection.execute("SELECT pg_switch_wal()")
        connection.execute("SELECT pg_logical_emit_message(true, 'tests', repeat('x', 100000))")


def _counters(address: str) -> list[int]:
    store = PostgresqlRecordStore(address)
    counters = [record.counter for record in store.page("local", None, 1_000_000)]
    store.close()
    return counters


if __name__ == "__main__":
    main(Path(sys.argv[1]))

"""An endpoint that reads a description, keeps an answer that is given to it durably, and answers with it; decides nothing.

`python -m tests.benchmarks.serve_keeping ANSWERS PLACE`, which prints its address. ANSWERS: a file of answers, each after its length in 8
bytes. PLACE: a folder for a SQLite file, or the address of a PostgreSQL database. A request to `/NUMBER` is answered with that answer. What
waits together is committed together. It shares no code of records with the service, only the reading of a description.
"""

import asyncio
import sqlite3
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import psycopg
import uvicorn
from fastapi import FastAPI, Request, Response

from bondwright.api.operating.server import listening
from bondwright.installation.description import Installation

Keep = Callable[[list[bytes]], None]


def in_sqlite(folder: Path) -> Keep:
    """What appends answers to a file that is as durable as ours: write-ahead log, synced at each commit."""
    connection = sqlite3.connect(folder / "reference.sqlite", isolation_level=None, check_same_thread=False)
    for setting in ("page_size = 16384", "journal_mode = WAL", "synchronous = FULL"):
        connection.execute(f"PRAGMA {setting}")
    connection.execute("CREATE TABLE answer (number INTEGER PRIMARY KEY, content BLOB NOT NULL) STRICT")

    def keep(answers: list[bytes]) -> None:
        connection.execute("BEGIN IMMEDIATE")
        connection.executemany("INSERT INTO answer (content) VALUES (?)", [(answer,) for answer in answers])
        connection.execute("COMMIT")

    return keep


def in_postgresql(address: str) -> Keep:
    """What appends answers to a table of a database, one statement and one commit for all."""
    connection = psycopg.connect(address, autocommit=True)
    connection.execute("CREATE TABLE answer (number bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY, content bytea NOT NULL)")

    def keep(answers: list[bytes]) -> None:
        connection.execute("INSERT INTO answer (content) SELECT * FROM unnest(%b::bytea[])", [answers])

    return keep


class Together:
    """Keeps what waits together, one commit after the other, beside the event loop."""

    def __init__(self, keep: Keep) -> None:
        self._keep, self._thread = keep, ThreadPoolExecutor(1)
        self._waiting: list[tuple[bytes, asyncio.Future[None]]] = []
        self._writing: asyncio.Task[None] | None = None

    async def kept(self, answer: bytes) -> None:
        """Nothing, once it is durable."""
        future = asyncio.get_running_loop().create_future()
        self._waiting.append((answer, future))
        if self._writing is None:
            self._writing = asyncio.create_task(self._write())
        await future

    async def _write(self) -> None:
        loop = asyncio.get_running_loop()
        while self._waiting:
            batch, self._waiting = self._waiting, []
            await loop.run_in_executor(self._thread, self._keep, [answer for answer, _ in batch])
            for _, future in batch:
                future.set_result(None)
        self._writing = None


def application(answers: list[bytes], together: Together) -> FastAPI:
    """The endpoint, with a /livez as ours."""
    app = FastAPI()

    @app.get("/livez")
    async def livez() -> Response:
        return Response(b"{}", media_type="application/json")

    @app.post("/{number}")
    async def keep(number: int, request: Request) -> Response:
        Installation.model_validate_json(await request.body())
        await together.kept(answers[number])
        return Response(answers[number], 201, media_type="application/json")

    return app


def write_answers(answers: list[bytes], path: Path) -> None:
    """Writes what `read_answers` reads."""
    path.write_bytes(b"".join(len(answer).to_bytes(8, "big") + answer for answer in answers))


def read_answers(path: Path) -> list[bytes]:
    """The answers of a file, in order."""
    content, at, answers = path.read_bytes(), 0, []
    while at < len(content):
        end = at + 8 + int.from_bytes(content[at : at + 8], "big")
        answers.append(content[at + 8 : end])
        at = end
    return answers


if __name__ == "__main__":
    given, place = sys.argv[1:]
    to_keep = in_postgresql(place) if place.startswith(("postgresql:", "host=")) else in_sqlite(Path(place))
    listener = listening("127.0.0.1", 0)
    print(f"keeping http://127.0.0.1:{listener.getsockname()[1]}", flush=True)
    served = application(read_answers(Path(given)), Together(to_keep))
    # Nothing but the log differs from what `bondwright serve` asks of its server.
    config = uvicorn.Config(served, log_config=None, access_log=False, server_header=False, proxy_headers=False)
    uvicorn.Server(config).run(sockets=[listener])

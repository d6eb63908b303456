"""Serves from a disk that fills up, is emptied and turns read-only: `python serve_on_a_full_disk.py FOLDER`, FOLDER a small file system.

Prints what callers met and what is kept, as one JSON object. Needs the right to mount FOLDER anew.
"""

import json
import signal
import sqlite3
import subprocess
import sys
from contextlib import suppress
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient
from tests.api.builders import EVALUATIONS, HOUSE, JSON, service

from bondwright.api.app import create_app
from bondwright.rulebook.pack import PackHead
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import on_shelf


def main(folder: Path) -> None:
    """An alarm after five minutes ends it if something hangs."""
    signal.alarm(300)
    packs = on_shelf(rules_folder())
    half_written = {mode: _half_written(folder / "plain.sqlite", mode) for mode in ("WAL", "OFF")}
    print(json.dumps(_served(folder, packs) | {"half-written": half_written}))


def _served(folder: Path, packs: tuple[PackHead, ...]) -> dict[str, Any]:
    path = folder / "state" / "record.sqlite"
    met: dict[str, Any] = {}
    filled = _fill(folder)
    first = _Front(packs, path)
    met["opened on a full disk"] = first.met()
    filled.unlink()
    met["emptied before anything was kept"] = first.met()
    filled = _fill(folder)
    met["filled"] = [first.met() for _ in range(3)]
    filled.unlink()
    met["emptied"] = first.met()
    met["until the log has filled the disk"] = first.until_refused()
    met["ready while the log has filled the disk"] = [first.ready() for _ in range(3)]
    subprocess.run(["mount", "-o", "remount,size=64m", str(folder)], check=True)
    met["ready as soon as it is enlarged"] = first.ready()
    met["enlarged"] = first.met()
    first.close()
    subprocess.run(["mount", "-o", "remount,ro", str(folder)], check=True)
    second = _Front(packs, path)
    met["read-only"] = second.met()
    subprocess.run(["mount", "-o", "remount,rw", str(folder)], check=True)
    met["writable"] = second.met()
    answered = first.answered | second.answered
    met["read back alike"] = sum(second.client.get(place).content == body for place, body in answered.items())
    second.close()
    return met | {"answered": len(answered)} | _kept(path)


class _Front:
    """The service over the record at `path`; `answered` has the body of every answer by its place."""

    def __init__(self, packs: tuple[PackHead, ...], path: Path) -> None:
        self._service = service(packs, path)
        self.client = TestClient(create_app(self._service), raise_server_exceptions=False)
        self.answered: dict[str, bytes] = {}

    def met(self) -> list[int | str]:
        """Status of an evaluation, the kind of its body, status of the readiness."""
        answer = self.client.post(EVALUATIONS, content=HOUSE, headers=JSON)
        if answer.status_code == 201:
            self.answered[answer.headers["location"]] = answer.content
        return [answer.status_code, answer.headers["content-type"], self.ready()]

    def ready(self) -> int:
        """Status of the readiness."""
        return self.client.get("/readyz").status_code

    def until_refused(self) -> list[int | str]:
        """What is met by the first that is not recorded."""
        return next(met for met in iter(self.met, None) if met[0] != 201)

    def close(self) -> None:
        self._service.close()


def _fill(folder: Path) -> Path:
    """A file that leaves no room for a page more."""
    ballast = folder / "ballast"
    with ballast.open("wb", buffering=0) as file:
        try:
            while True:
                file.write(bytes(4096))
        except OSError:
            return ballast


def _kept(path: Path) -> dict[str, Any]:
    connection = sqlite3.connect(path)
    counters = [counter for (counter,) in connection.execute("SELECT counter FROM record ORDER BY counter")]
    said = connection.execute("PRAGMA integrity_check").fetchall()
    connection.close()
    return {"kept": len(counters), "without a gap": counters == list(range(1, len(counters) + 1)), "integrity": said}


def _half_written(path: Path, journal_mode: str) -> int:
    """How many of 100 rows are found changed by one transaction that was given up because it did not fit on the disk."""
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute(f"PRAGMA journal_mode = {journal_mode}")
    connection.execute("PRAGMA cache_size = 5")
    connection.execute("CREATE TABLE t (changed, filling)")
    connection.executemany("INSERT INTO t VALUES (0, zeroblob(4000))", [()] * 100)
    with suppress(sqlite3.OperationalError):
        connection.execute("BEGIN")
        connection.execute("UPDATE t SET changed = 1")
        while True:
            connection.execute("INSERT INTO t VALUES (2, zeroblob(100000))")
    connection.close()
    again = sqlite3.connect(path)
    (rows,) = again.execute("SELECT count(*) FROM t WHERE changed = 1").fetchone()
    again.close()
    path.unlink()
    return int(rows)


if __name__ == "__main__":
    main(Path(sys.argv[1]))

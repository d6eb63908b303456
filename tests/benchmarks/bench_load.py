"""`bondwright serve` under load, beside an endpoint that decides nothing: `uv run python -m tests.benchmarks.bench_load --help`.

The service runs as its own process and keeps its records durably; beside it runs an endpoint on the same server and with the same
request model, which answers as many bytes. Each is driven in turn by the same connections, each asking again when answered. Cold: no two
descriptions are alike, made of the shipped cases by changing what they say of materials, sizes and readings. Warm: a few cases again and
again. Compare inside one run only: server and clients share the machine.
"""

import asyncio
import os
import re
import subprocess
import sys
import tempfile
from argparse import ArgumentParser, Namespace
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from itertools import cycle
from pathlib import Path
from urllib.request import urlopen

from tests.benchmarks.load import driven, varied, well_known
from tests.cli.command import BONDWRIGHT
from tests.postgresql_server import PostgresqlServer

PATIENCE_S = 60
EVALUATIONS = "/v1/evaluations"
_SAMPLE = re.compile(r"^(bondwright_situations_total)\{(.*)\} (\S+)$", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Process:
    """A server that was started here."""

    address: tuple[str, int]
    pid: int

    def resident_mb(self) -> float:
        """Memory in RAM."""
        status = Path(f"/proc/{self.pid}/status").read_text()
        return int(status.split("VmRSS:")[1].split()[0]) / 1024

    def situations(self) -> tuple[float, float]:
        """How many situations it met so far: remembered, and in all."""
        with urlopen(f"http://{self.address[0]}:{self.address[1]}/metrics", timeout=PATIENCE_S) as told:
            samples = _SAMPLE.findall(told.read().decode())
        return sum(float(value) for _, labels, value in samples if 'remembered="yes"' in labels), sum(float(s[2]) for s in samples)


@contextmanager
def started(*command: str | Path, **environment: str) -> Iterator[Process]:
    """A server, once it has printed its address as the second word of a line; stopped in order at the end."""
    with (
        tempfile.TemporaryFile() as log,
        subprocess.Popen(list(map(str, command)), stdout=subprocess.PIPE, stderr=log, env={**os.environ, **environment}) as process,
    ):
        try:
            assert process.stdout
            greeting = process.stdout.readline().decode()
            host, _, port = greeting.split()[1].removeprefix("http://").partition(":")
            yield Process((host, int(port)), process.pid)
        except (IndexError, ValueError):
            log.seek(0)
            raise SystemExit(f"the server did not start: {log.read().decode()[-2000:]}") from None
        finally:
            process.terminate()
            with suppress(subprocess.TimeoutExpired):
                process.wait(PATIENCE_S)
            process.kill()


def main() -> None:
    """Start both servers, measure, stop them."""
    asked = _asked()
    with tempfile.TemporaryDirectory() as folder, database(asked.postgresql) as (address, _):
        service = started(
            BONDWRIGHT, "serve", "--no-auth", "--port", "0", *(() if address else ("--data", folder)), BONDWRIGHT_DATABASE=address
        )
        with service as ours, started(sys.executable, "-m", "tests.benchmarks.serve_nothing") as nothing:
            print(f"{asked.connections} connections, {asked.seconds:g} s each, {'PostgreSQL' if address else 'SQLite'}; ms; MB")
            for name, bodies in (("cold", varied()), ("warm", cycle(well_known()))):
                _measure(name, bodies, ours, nothing, asked)


def _measure(name: str, bodies: Iterator[bytes], ours: Process, nothing: Process, asked: Namespace) -> None:
    memory, (known, met) = ours.resident_mb(), ours.situations()
    load = asyncio.run(driven(ours.address, EVALUATIONS, bodies, asked.connections, asked.seconds))
    hits = ours.situations()
    empty = asyncio.run(driven(nothing.address, f"/{load.usual_bytes}", cycle(well_known()), asked.connections, asked.seconds / 3))
    print(
        f"{name}  {load.rate:7,.0f}/s  nothing {empty.rate:7,.0f}/s  ratio {load.rate / empty.rate:.3f}  "
        f"p50 {load.percentile(50):.0f}  p99 {load.percentile(99):.0f}  /livez p50 {load.percentile(50, load.alive):.0f} "
        f"p99 {load.percentile(99, load.alive):.0f}  remembered {(hits[0] - known) / max(1, hits[1] - met):.3f}  "
        f"answer {load.usual_bytes / 1000:.0f} kB  memory {memory:.0f} to {ours.resident_mb():.0f}",
        flush=True,
    )


@contextmanager
def database(wanted: bool, command: Path = BONDWRIGHT) -> Iterator[tuple[str, Callable[[], str] | None]]:
    """The address of a database that is laid out, and what makes an empty one on the same server; nothing, if none is wanted.

    `command`: the `bondwright` that lays it out.
    """
    if not wanted:
        yield "", None
        return
    server = PostgresqlServer()
    try:
        owned = server.new_owned_database()
        subprocess.run([command, "database", "up"], check=True, env={"BONDWRIGHT_DATABASE": owned}, stdout=subprocess.DEVNULL)
        yield server.as_user(owned, server.new_user(server.as_owner(owned))), server.new_database
    finally:
        server.remove()


def _asked() -> Namespace:
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("--connections", type=int, default=64)
    parser.add_argument("--seconds", type=float, default=30)
    parser.add_argument("--postgresql", action="store_true", help="records in a PostgreSQL server that is started for this")
    return parser.parse_args()


if __name__ == "__main__":
    main()

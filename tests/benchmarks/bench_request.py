"""Evaluate-and-record beside an endpoint that keeps the same bytes as durably: `uv run python -m tests.benchmarks.bench_request --help`.

The reference has the same framework, the same server with the same settings and the same reading of a description; it appends the same
bytes of answer to the same kind of database, committing together what waits together, and decides nothing. Each is driven in turn by the
same connections with the same descriptions, each asking again when answered; a run is cut into turns, so that both meet the same noise.
Cold: no two descriptions are alike, in any fact (those that ours answered are sent to the reference). Kin: a few houses, each time with
other numbers and readings. Again: those few houses, byte for byte, whose whole answers are remembered. Told are requests a second, and
processor of the server's own process for a request, as ratios reference to ours (1 would be as cheap). Compare inside one run.
"""

import asyncio
import os
import sys
import tempfile
from argparse import ArgumentParser, Namespace
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import cycle
from pathlib import Path
from time import perf_counter

from tests.benchmarks.bench_load import EVALUATIONS, Process, database, started
from tests.benchmarks.load import answered, kin, varied, well_known
from tests.benchmarks.serve_keeping import write_answers
from tests.cli.command import BONDWRIGHT

_TICKS = os.sysconf("SC_CLK_TCK")
_PAIRS = 200

Request = tuple[str, bytes]


@dataclass(slots=True)
class Spent:
    """Answers, seconds, and seconds of processor in the server's process."""

    answers: int = 0
    seconds: float = 0.0
    processor_s: float = 0.0
    pairs: list[tuple[bytes, bytes]] = field(default_factory=list)

    @property
    def rate(self) -> float:
        """Answers a second."""
        return self.answers / self.seconds

    @property
    def each_ms(self) -> float:
        """Processor for one answer, in ms."""
        return self.processor_s / self.answers * 1000


def processor_s(pid: int) -> float:
    """Seconds of processor that a process has used, all its threads together."""
    used = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(used[11]) + int(used[12])) / _TICKS


async def posting(server: Process, requests: Iterator[Request], until: float, into: Spent) -> None:
    """One connection posts, each request once the last is answered; adds to the answers and pairs of `into`."""
    reader, writer = await asyncio.open_connection(*server.address)
    while perf_counter() < until:
        path, body = next(requests)
        status, answer = await answered(reader, writer, "POST", path, body)
        # A changed case may contradict itself or leave a range: that is answered too, but not counted.
        if status == 201:
            into.answers += 1
            if len(into.pairs) < _PAIRS:
                into.pairs.append((body, answer))
        elif status not in (409, 422):
            raise SystemExit(f"{path} was answered with {status}")
    writer.close()


def drive(server: Process, requests: Iterator[Request], connections: int, seconds: float, into: Spent) -> None:
    """So many connections post for so long; adds to `into`, which keeps the first few descriptions with their answers."""

    async def all_of_them() -> None:
        until = perf_counter() + seconds
        await asyncio.gather(*(posting(server, requests, until, into) for _ in range(connections)))

    begun, used = perf_counter(), processor_s(server.pid)
    asyncio.run(all_of_them())
    into.seconds += perf_counter() - begun
    into.processor_s += processor_s(server.pid) - used


def compare(name: str, ours: Process, place: str, bodies: Iterator[bytes], asked: Namespace, connections: int) -> None:
    """Prints a line."""
    cost, reference = Spent(), Spent()
    requests = ((EVALUATIONS, body) for body in bodies)
    drive(ours, requests, connections, asked.seconds / asked.turns, Spent())
    drive(ours, requests, connections, asked.seconds / asked.turns, cost)
    with tempfile.TemporaryDirectory() as folder:
        write_answers([answer for _, answer in cost.pairs], Path(folder) / "answers")
        kept_in = place or folder
        with started(sys.executable, "-m", "tests.benchmarks.serve_keeping", Path(folder) / "answers", kept_in) as keeping:
            same = cycle([(f"/{number}", body) for number, (body, _) in enumerate(cost.pairs)])
            drive(keeping, same, connections, asked.seconds / asked.turns / 2, Spent())
            for turn in range(asked.turns):
                if turn:
                    drive(ours, requests, connections, asked.seconds / asked.turns, cost)
                drive(keeping, same, connections, asked.seconds / asked.turns, reference)
    size = sorted(len(answer) for _, answer in cost.pairs)[len(cost.pairs) // 2]
    print(
        f"{name:22} ours {cost.rate:6,.0f}/s {cost.each_ms:6.2f} ms   reference {reference.rate:6,.0f}/s {reference.each_ms:6.2f} ms   "
        f"processor {reference.each_ms / cost.each_ms:.3f}   requests a second {cost.rate / reference.rate:.3f}   {size / 1000:.0f} kB",
        flush=True,
    )


def main() -> None:
    """Start the servers of each database in turn, measure, stop them."""
    asked = _asked()
    print(f"{asked.seconds:g} s each, in {asked.turns} turns; ms: processor of the server for a request; ratio 1: as good as the reference")
    for kind in asked.databases:
        with tempfile.TemporaryDirectory() as folder, database(kind == "postgresql") as (address, reference):
            place = () if address else ("--data", folder)
            with started(BONDWRIGHT, "serve", "--no-auth", "--port", "0", *place, BONDWRIGHT_DATABASE=address) as ours:
                bodies = {"cold": varied(), "kin": kin(), "again": cycle(well_known())}
                for connections in asked.connections:
                    for way in asked.ways:
                        place_of_reference = reference() if reference else ""
                        compare(f"{kind} {connections} {way}", ours, place_of_reference, bodies[way], asked, connections)


def _asked() -> Namespace:
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("--connections", type=int, nargs="+", default=[1, 64])
    parser.add_argument("--databases", nargs="+", choices=["sqlite", "postgresql"], default=["sqlite", "postgresql"])
    parser.add_argument("--ways", nargs="+", choices=["cold", "kin", "again"], default=["cold", "kin", "again"])
    parser.add_argument("--seconds", type=float, default=10, help="for each of ours and reference, each way and number of connections")
    parser.add_argument("--turns", type=int, default=2)
    return parser.parse_args()


if __name__ == "__main__":
    main()

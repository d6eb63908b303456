"""What a second process costs on one database: `uv run python -m tests.benchmarks.bench_workers [--help]`.

`serve` once, and twice, on one PostgreSQL, by turns, with as many connections in all and the same descriptions. Told is the processor of
all processes of `serve` together for a request, and of two as a ratio to one.
"""

import asyncio
from argparse import ArgumentParser, Namespace
from collections.abc import Iterator
from contextlib import ExitStack
from itertools import cycle
from time import perf_counter

from tests.benchmarks.bench_load import EVALUATIONS, Process, database, started
from tests.benchmarks.bench_request import Request, Spent, posting, processor_s
from tests.benchmarks.load import kin, well_known
from tests.cli.command import BONDWRIGHT


def main() -> None:
    """Start three servers, of which one or two are asked, measure, stop them."""
    asked = _asked()
    with database(wanted=True) as (address, _), ExitStack() as stack:
        servers = [
            stack.enter_context(started(BONDWRIGHT, "serve", "--no-auth", "--port", "0", BONDWRIGHT_DATABASE=address)) for _ in range(3)
        ]
        for way, bodies in (("kin", kin()), ("again", cycle(well_known()))):
            requests = ((EVALUATIONS, body) for body in bodies)
            one, two = Spent(), Spent()
            for turn in range(-1, asked.turns):
                for some, spent in ((servers[:1], one), (servers[1:], two)):
                    _drive(some, requests, asked.connections, asked.seconds, spent if turn >= 0 else Spent())
            told = f"one {one.rate:6,.0f}/s {one.each_ms:6.2f} ms   two {two.rate:6,.0f}/s {two.each_ms:6.2f} ms"
            print(f"{way:6} {asked.connections} connections   {told}   processor {two.each_ms / one.each_ms:.2f} times", flush=True)


def _drive(servers: list[Process], requests: Iterator[Request], connections: int, seconds: float, into: Spent) -> None:
    async def all_of_them() -> None:
        until = perf_counter() + seconds
        await asyncio.gather(*(posting(servers[n % len(servers)], requests, until, into) for n in range(connections)))

    begun, used = perf_counter(), sum(processor_s(server.pid) for server in servers)
    asyncio.run(all_of_them())
    into.seconds += perf_counter() - begun
    into.processor_s += sum(processor_s(server.pid) for server in servers) - used


def _asked() -> Namespace:
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("--connections", type=int, default=64)
    parser.add_argument("--seconds", type=float, default=4, help="of each turn")
    parser.add_argument("--turns", type=int, default=3)
    return parser.parse_args()


if __name__ == "__main__":
    main()

"""What the service holds in memory after many evaluations: `uv run python -m tests.benchmarks.bench_memory [--evaluations 100000]`.

`serve` answers so many descriptions, no two alike; after each tenth it is told what it holds in RAM. What is remembered is bounded, so the
last half should add nothing: its slope is told too, in kB for a thousand evaluations.
"""

import asyncio
import tempfile
from argparse import ArgumentParser
from itertools import islice

from tests.benchmarks.bench_load import EVALUATIONS, started
from tests.benchmarks.load import answered, varied
from tests.cli.command import BONDWRIGHT

_TENTHS = 10


def main() -> None:
    """Post, and print what is held meanwhile."""
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("--evaluations", type=int, default=100_000)
    parser.add_argument("--connections", type=int, default=16)
    asked = parser.parse_args()
    bodies = varied()
    with tempfile.TemporaryDirectory() as folder, started(BONDWRIGHT, "serve", "--no-auth", "--port", "0", "--data", folder) as server:
        held = [server.resident_mb()]
        print(f"{0:9,} {held[-1]:6.0f} MB", flush=True)
        for tenth in range(1, _TENTHS + 1):
            asyncio.run(_post(server.address, list(islice(bodies, asked.evaluations // _TENTHS)), asked.connections))
            held.append(server.resident_mb())
            print(f"{asked.evaluations // _TENTHS * tenth:9,} {held[-1]:6.0f} MB", flush=True)
    half = _TENTHS // 2
    print(f"last half: {(held[-1] - held[half]) * 1024 / (asked.evaluations / 2 / 1000):.1f} kB for a thousand")


async def _post(address: tuple[str, int], bodies: list[bytes], connections: int) -> None:
    async def posting(some: list[bytes]) -> None:
        reader, writer = await asyncio.open_connection(*address)
        for body in some:
            await answered(reader, writer, "POST", EVALUATIONS, body)
        writer.close()

    await asyncio.gather(*(posting(bodies[number::connections]) for number in range(connections)))


if __name__ == "__main__":
    main()

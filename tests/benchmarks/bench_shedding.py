"""Overload, with several limits of requests in progress: `uv run python -m tests.benchmarks.bench_shedding`.

More callers than the service can serve ask for evaluations without pause, each on a connection of its own; who is told to wait, waits
as long as told. Beside them one asks /livez. Good limits keep the rate of evaluations and the waiting short. Compare inside one run
only: server and callers share the machine.
"""

import asyncio
import json
import tempfile
import time
from itertools import count
from pathlib import Path
from statistics import median
from threading import Thread
from urllib.parse import urlsplit

from tests.benchmarks.load import well_known
from tests.cli.server import serving

CALLERS = 256
SECONDS = 6.0
LIMITS = (8, 32, 64, 128, 100_000)


async def told(reader: asyncio.StreamReader) -> int:
    """The status of the next answer, its body read."""
    head = (await reader.readuntil(b"\r\n\r\n")).lower()
    await reader.readexactly(int(head.split(b"content-length:")[1].split(b"\r\n")[0]))
    return int(head.split()[1])


async def overload(port: int) -> str:
    """What callers met in SECONDS, in a line."""
    until = time.perf_counter() + SECONDS
    answered: list[float] = []
    alive: list[float] = []
    shed = 0
    numbers, house = count(), json.loads(well_known()[0])

    async def caller() -> None:
        nonlocal shed
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        while time.perf_counter() < until:
            body = json.dumps({**house, "reference": str(next(numbers))}).encode()
            head = f"POST /v1/evaluations HTTP/1.1\r\nhost: here\r\ncontent-type: application/json\r\ncontent-length: {len(body)}\r\n\r\n"
            asked = time.perf_counter()
            writer.write(head.encode() + body)
            if await told(reader) == 201:
                answered.append(time.perf_counter() - asked)
            else:
                shed += 1
                await asyncio.sleep(1)
        writer.close()

    async def probe() -> None:
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        while time.perf_counter() < until:
            asked = time.perf_counter()
            writer.write(b"GET /livez HTTP/1.1\r\nhost: here\r\n\r\n")
            await told(reader)
            alive.append(time.perf_counter() - asked)
            await asyncio.sleep(0.05)
        writer.close()

    await asyncio.gather(probe(), *(caller() for _ in range(CALLERS)))
    return (
        f"{len(answered) / SECONDS:6.0f} evaluations/s in {median(answered):5.2f} s, at worst {max(answered):5.2f} s   "
        f"{shed / SECONDS:6.0f} refused/s   /livez at worst {max(alive):5.2f} s"
    )


def main() -> None:
    """Overload a server for each limit, in turns, twice."""
    for limit in LIMITS * 2:
        with (
            tempfile.TemporaryDirectory() as folder,
            serving(Path(folder), "--no-auth", BONDWRIGHT_MOST_AT_ONCE=str(limit)) as (address, process),
        ):
            assert process.stderr
            Thread(target=process.stderr.read, daemon=True).start()  # a log that nobody reads would stop the server
            print(f"at most {limit:6} at once  {asyncio.run(overload(urlsplit(address).port or 0))}", flush=True)


if __name__ == "__main__":
    main()

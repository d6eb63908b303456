"""One tenant sends the worst legal descriptions, another small ones: `uv run python -m tests.benchmarks.bench_fair --help`.

The service runs as its own process, over loopback, without allowances, so that its queues alone keep the peace, or with those of
`--allowance`, within which a tenant may send what it likes; the small ones then come by many keys. The small ones are asked
for at a steady pace on one connection, in turns with the other tenant idle, its process there, and at work; each turn gives a percentile,
each pair of turns a ratio, and the median of the pairs counts. Then the worst descriptions one by one, with and without small ones beside
them. Compare inside one run only: server and clients share the machine.
"""

import asyncio
import json
import multiprocessing
import os
import tempfile
from argparse import ArgumentParser, Namespace
from collections.abc import Iterator, Sequence
from contextlib import closing, suppress
from itertools import count, takewhile
from multiprocessing.synchronize import Event
from pathlib import Path
from statistics import median
from time import perf_counter, sleep
from typing import Any

from tests.benchmarks.bench_load import Process, started
from tests.benchmarks.load import well_known
from tests.benchmarks.worst import MOST, SHAPES
from tests.cli.command import BONDWRIGHT

from bondwright.access.keys import SCOPES
from bondwright.assembly import build_keyring
from bondwright.assembly.sharing.prices import price_of
from bondwright.settings import USUAL_LIMITS, USUAL_PRICES, Settings

EVALUATIONS = "/v1/evaluations"
PACE_S = 0.01
BELOW = "below"
_KEYS = 100


async def asked(reader: asyncio.StreamReader, writer: asyncio.StreamWriter, key: str, body: bytes) -> tuple[int, int, float]:
    """Status, bytes and seconds of the answer to one evaluation."""
    begun = perf_counter()
    head = f"POST {EVALUATIONS} HTTP/1.1\r\nhost: bench\r\nauthorization: Bearer {key}\r\n"
    writer.write(f"{head}content-type: application/json\r\ncontent-length: {len(body)}\r\n\r\n".encode() + body)
    answer = (await reader.readuntil(b"\r\n\r\n")).lower()
    left = length = int(answer.split(b"content-length:")[1].split(b"\r\n")[0])
    while left:
        left -= len(await reader.read(min(left, 1_000_000)))
    return int(answer.split()[1]), length, perf_counter() - begun


async def paced(address: tuple[str, int], keys: Sequence[str], seconds: float) -> list[float]:
    """How long each small description took, in ms, asked for at a steady pace."""
    reader, writer = await asyncio.open_connection(*address)
    numbers, house = count(), json.loads(well_known()[0])
    took, begun = [], perf_counter()
    while (now := perf_counter()) < begun + seconds:
        number = next(numbers)
        key = keys[number % len(keys)]
        status, _, taken = await asked(reader, writer, key, json.dumps({**house, "reference": str(number)}).encode())
        assert status == 201, status
        took.append(taken * 1000)
        await asyncio.sleep(max(0.0, now + PACE_S - perf_counter()))
    writer.close()
    return took


def at_work(address: tuple[str, int], key: str, bodies: list[bytes], connections: int, go: Event, answers: Any) -> None:
    """The other tenant: asks without pause while it is let; in a process of its own, which gives way."""
    os.nice(10)

    async def connection(number: int) -> None:
        turns = count(number)
        while True:
            while not go.is_set():
                await asyncio.sleep(0.02)
            reader, writer = await asyncio.open_connection(*address)
            with suppress(OSError, EOFError):  # refused before all of it was read, the connection is closed
                while go.is_set():
                    status, _, _ = await asked(reader, writer, key, bodies[next(turns) % len(bodies)])
                    with answers.get_lock():
                        answers.value += status == 201
            writer.close()

    async def all_of_them() -> None:
        await asyncio.gather(*(connection(number) for number in range(connections)))

    asyncio.run(all_of_them())


def worst(only: str | None) -> dict[str, bytes]:
    """The largest description of each shape, or of one; or the largest that the service still evaluates in its own process."""
    if only == BELOW:
        sizes = (json.dumps(SHAPES["lengths"](size)).encode() for size in count(1))
        cheap = takewhile(lambda raw: price_of(raw, USUAL_PRICES, lambda _: 1) <= USUAL_LIMITS.apart_above, sizes)
        return {BELOW: list(cheap)[-1]}
    return {name: json.dumps(shape(MOST[name])).encode() for name, shape in SHAPES.items() if only in (None, name)}


def percentile(took: list[float], part: int) -> float:
    """So many percent took at most so long."""
    return sorted(took)[min(len(took) - 1, len(took) * part // 100)]


def main() -> None:
    """Start the service, let both tenants at it, stop it."""
    wanted = _asked()
    with tempfile.TemporaryDirectory() as folder:
        with closing(build_keyring(Settings(Path(folder)))) as keyring:
            small = [keyring.create("small", SCOPES)[0] for _ in range(_KEYS)]
            large = keyring.create("large", SCOPES)[0]
        command = (BONDWRIGHT, "serve", "--port", "0", "--data", folder)
        with started(*command, BONDWRIGHT_EVALUATIONS_PER_MINUTE=str(wanted.allowance), BONDWRIGHT_FINISH_S="1") as service:
            bodies = worst(wanted.only)
            if not wanted.allowance:
                asyncio.run(_alone(service, large, bodies, beside=[]))
                asyncio.run(_alone(service, large, bodies, beside=small))
            _fairly(service, small, large, list(bodies.values()), wanted)
            print("most memory, MB, of the service and of the process that it asks:", *_most_memory(service.pid))


async def _alone(service: Process, key: str, bodies: dict[str, bytes], beside: Sequence[str]) -> None:
    """Each of the worst descriptions by itself, or with small ones of another tenant beside it."""
    print("each alone" if not beside else "each beside small ones", flush=True)
    reader, writer = await asyncio.open_connection(*service.address)
    for name, body in bodies.items():
        if not beside:
            status, length, seconds = await asked(reader, writer, key, body)
        else:
            others = asyncio.create_task(paced(service.address, beside, 3))
            status, length, seconds = await asked(reader, writer, key, body)
            await others
        print(f"  {name:16} {len(body) / 1000:8.1f} kB  {status}  {length / 1e6:7.2f} MB  {seconds:6.2f} s", flush=True)
    writer.close()


def _fairly(service: Process, small: Sequence[str], large: str, bodies: list[bytes], wanted: Namespace) -> None:
    context = multiprocessing.get_context("spawn")
    go, answers = context.Event(), context.Value("i", 0)
    other = context.Process(target=at_work, args=(service.address, large, bodies, wanted.connections, go, answers))
    other.start()
    try:
        sleep(2)
        asyncio.run(paced(service.address, small, 1))
        ratios = []
        for _ in range(wanted.runs):
            alone = asyncio.run(paced(service.address, small, wanted.seconds))
            go.set()
            sleep(1)
            before = answers.value
            beside = asyncio.run(paced(service.address, small, wanted.seconds))
            go.clear()
            ratios.append(percentile(beside, 99) / percentile(alone, 99))
            told = [f"p50 {percentile(took, 50):5.1f}  p99 {percentile(took, 99):5.1f}" for took in (alone, beside)]
            print(
                f"alone {told[0]} ms   beside {told[1]} ms   ratio of p99 {ratios[-1]:.2f}   {answers.value - before} large ones",
                flush=True,
            )
            sleep(wanted.rest)
        print(f"median ratio of p99: {median(ratios):.2f}", flush=True)
    finally:
        other.kill()
        other.join()


def _most_memory(pid: int) -> Iterator[int]:
    """What a process and those that it started took at most."""
    children = [int(one) for task in Path(f"/proc/{pid}/task").iterdir() for one in (task / "children").read_text().split()]
    for one in (pid, *children):
        yield int(Path(f"/proc/{one}/status").read_text().split("VmHWM:")[1].split()[0]) // 1024


def _asked() -> Namespace:
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--seconds", type=float, default=8, help="of each turn")
    parser.add_argument("--connections", type=int, default=2, help="on which the other tenant asks without pause")
    parser.add_argument("--rest", type=float, default=6, help="seconds after a turn, in which what is under way ends")
    parser.add_argument("--allowance", type=int, default=0, help="of each key in a minute (usual: 1200); default 0, without limit")
    parser.add_argument("--only", choices=[*SHAPES, BELOW], help="the one shape that the other tenant sends; else all of them in turn")
    return parser.parse_args()


if __name__ == "__main__":
    main()

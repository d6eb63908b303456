"""Evaluations a second over HTTP, beside an endpoint that does nothing: `uv run python tests/benchmarks/bench_http.py`.

One uvicorn process on loopback serves both. The empty endpoint has the same request and response models: it validates the body
once and lets the framework write a ready answer. Both are driven in turns by the same clients. Warm: the same house again and
again. Cold: every description differs, so that the engine meets new situations.
Compare inside one run only: server and clients share the machine.
"""

import asyncio
import json
import random
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from itertools import repeat
from pathlib import Path
from typing import Any

import uvicorn
from fastapi import Request
from pydantic import TypeAdapter

from bondwright.api.app import create_app
from bondwright.api.evaluations import RecordedEvaluation
from bondwright.assembly import build
from bondwright.installation.description import Installation
from bondwright.settings import Settings

CLIENTS = 16
SECONDS = 5.0
EVALUATIONS = "/v1/evaluations"
NOTHING = "/nothing"

MATERIALS = ["copper", "steel", "plastic", "lead", "multilayer", "unknown"]
HIDDEN_IN = ["soil", "timber_floor", "masonry_below_damp_course", "duct", "unknown"]
YES_NO = ["yes", "no", "unknown"]


def house(kind_of_pipe: str = "plastic", **changes: Any) -> dict[str, Any]:
    """An everyday house: two services, and a bath room."""
    return {
        "work": {"kind": "inspection", "inspected_on": "2026-11-25"},
        "supply": {"earthing_system": "TN-C-S", "pme_conditions": "apply", "neutral": {"size": 25, "material": "copper"}},
        "services": [
            {"kind": "water", "comes_from": "ground", "enters_as": kind_of_pipe, "inside": "copper", "hidden": "no", **changes},
            {"kind": "gas", "comes_from": "ground", "enters_as": "steel", "inside": "copper", "hidden": "no"},
        ],
        "locations": [{"kind": "bath_or_shower", "items": [{"kind": "towel_rail"}], "circuits": [{"rcd": "30_mA_or_less"}]}],
    }


def varied_houses() -> Iterator[bytes]:
    """Houses that differ in what they are made of and what was measured."""
    chance = random.Random(1)
    while True:
        water = {
            "hidden": chance.choice(YES_NO),
            "hidden_in": chance.choice(HIDDEN_IN),
            "hidden_as": chance.choice(MATERIALS),
            "bonds": [{"on": "entering_pipe", "size": chance.choice([4, 6, 10, 16]), "continuity": f"{chance.random():.2f} ohm"}],
            "measurements": [
                {"on": "inside_pipe", "reading": f"{chance.randrange(1, 999)} kohm", "own_bond": chance.choice(["parted", "on"])}
            ],
        }
        yield json.dumps(house(chance.choice(MATERIALS), **water)).encode()


def serve(port: int, folder: Path) -> None:
    """Both endpoints, until the process is ended."""
    bondwright = build(Settings(folder))
    app = create_app(bondwright)
    body = asyncio.run(bondwright.submit(json.dumps(house()).encode())).body
    answer = TypeAdapter(RecordedEvaluation).validate_json(body)

    @app.post(NOTHING, status_code=201)
    async def nothing(request: Request) -> RecordedEvaluation:
        Installation.model_validate_json(await request.body())
        return answer

    uvicorn.run(app, host="127.0.0.1", port=port, log_level="error", access_log=False)


async def rate(port: int, path: str, bodies: Iterator[bytes]) -> float:
    """Answers a second that CLIENTS connections get in SECONDS, each asking again when answered."""
    until = time.perf_counter() + SECONDS
    answered = 0

    async def client() -> None:
        nonlocal answered
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        while time.perf_counter() < until:
            body = next(bodies)
            head = f"POST {path} HTTP/1.1\r\nhost: bench\r\ncontent-type: application/json\r\ncontent-length: {len(body)}\r\n\r\n"
            writer.write(head.encode() + body)
            headers = (await reader.readuntil(b"\r\n\r\n")).lower()
            answer = await reader.readexactly(int(headers.split(b"content-length:")[1].split(b"\r\n")[0]))
            if not headers.startswith(b"http/1.1 201"):
                raise SystemExit(f"{path}: {headers!r} {answer!r}")
            answered += 1
        writer.close()
        await writer.wait_closed()

    start = time.perf_counter()
    await asyncio.gather(*(client() for _ in range(CLIENTS)))
    return answered / (time.perf_counter() - start)


def measure(port: int) -> None:
    """Print the figures, each pair taken twice in turns."""
    same = json.dumps(house()).encode()
    for name, evaluated in (("cold", varied_houses()), ("warm", repeat(same))):
        for _ in range(2):
            ours = asyncio.run(rate(port, EVALUATIONS, evaluated))
            empty = asyncio.run(rate(port, NOTHING, repeat(same)))
            print(f"{name}  {ours:7,.0f} evaluations/s   {empty:7,.0f} empty/s   ratio {ours / empty:.2f}")


def wait_for(port: int, process: "subprocess.Popen[bytes]") -> None:
    """Nothing, once the port answers."""
    for _ in range(200):
        if process.poll() is not None:
            raise SystemExit("the server did not start")
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.05)
    raise SystemExit("the server did not answer")


def main() -> None:
    """Start the server, measure, end the server."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    with tempfile.TemporaryDirectory() as folder:
        process = subprocess.Popen([sys.executable, __file__, str(port), folder])
        try:
            wait_for(port, process)
            measure(port)
        finally:
            process.terminate()
            process.wait()


if __name__ == "__main__":
    if len(sys.argv) == 3:
        serve(int(sys.argv[1]), Path(sys.argv[2]))
    else:
        main()

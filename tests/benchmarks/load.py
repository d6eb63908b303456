"""Descriptions to post, and connections that post them, each again when it is answered."""

import asyncio
import copy
import json
import random
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import cycle
from time import perf_counter
from typing import Any

from bondwright.shelf.packs import rules_folder

CASES = "bs7671/cases"
FEW = 8
_PROBE_EVERY_S = 0.1
_METALS = ("copper", "steel", "unknown")
_YES_NO = ("yes", "no", "unknown")


@dataclass(slots=True)
class Load:
    """What came of it: how long each answer took, and each answer to /livez meanwhile, in ms."""

    seconds: float = 0.0
    usual_bytes: int = 0
    answers: list[float] = field(default_factory=list)
    alive: list[float] = field(default_factory=list)

    @property
    def rate(self) -> float:
        """Answers a second."""
        return len(self.answers) / self.seconds

    def percentile(self, part: int, of: Sequence[float] | None = None) -> float:
        """So many percent of the answers took at most so many ms."""
        waited = sorted(self.answers if of is None else of) or [0.0]
        return waited[min(len(waited) - 1, len(waited) * part // 100)]


def well_known() -> list[bytes]:
    """A few of the shipped cases, spread over all of them."""
    installations = _installations()
    return [json.dumps(one).encode() for one in installations[:: len(installations) // FEW]]


def every_case() -> list[bytes]:
    """Each of the shipped cases once; none names a rule pack."""
    return [json.dumps(one).encode() for one in _installations() if "rule_pack" not in one]


def again(bodies: Sequence[bytes], rounds: int, place: str = "Linnet Walk") -> Iterator[bytes]:
    """Each of `bodies` once a round, every time under another reference, a number at that place: nothing else differs."""
    for number in range(rounds):
        for body in bodies:
            yield json.dumps(json.loads(body) | {"reference": f"{place} {number}"}).encode()


def kin() -> Iterator[bytes]:
    """The descriptions of `well_known` over and over, no two alike: other numbers and readings, the same materials and answers."""
    chance = random.Random(2)
    for number, body in enumerate(cycle(well_known())):
        yield json.dumps(_measured_anew(json.loads(body), chance) | {"reference": f"Dunlin Close {number}"}).encode()


def varied() -> Iterator[bytes]:
    """The shipped cases over and over, no two alike: other materials, sizes, readings and answers of yes and no."""
    chance = random.Random(1)
    installations = _installations()
    number = 0
    while True:
        number += 1
        changed = _changed(copy.deepcopy(chance.choice(installations)), chance)
        yield json.dumps(changed | {"reference": f"Sandpiper Row {number}"}).encode()


async def driven(address: tuple[str, int], path: str, bodies: Iterator[bytes], connections: int, seconds: float) -> Load:
    """What becomes of so many connections that post to `path` for so long."""
    load = Load()
    until = perf_counter() + seconds
    sizes: list[int] = []

    async def posting() -> None:
        reader, writer = await asyncio.open_connection(*address)
        while perf_counter() < until:
            begun = perf_counter()
            status, answer = await answered(reader, writer, "POST", path, next(bodies))
            # A changed case may contradict itself or leave a range: that is answered too, but not counted.
            if status == 201:
                load.answers.append((perf_counter() - begun) * 1000)
                sizes.append(len(answer))
            elif status not in (409, 422):
                raise SystemExit(f"{path} was answered with {status}")
        writer.close()

    async def probing() -> None:
        reader, writer = await asyncio.open_connection(*address)
        while perf_counter() < until:
            begun = perf_counter()
            await answered(reader, writer, "GET", "/livez")
            load.alive.append((perf_counter() - begun) * 1000)
            await asyncio.sleep(_PROBE_EVERY_S)
        writer.close()

    begun = perf_counter()
    await asyncio.gather(probing(), *(posting() for _ in range(connections)))
    load.seconds = perf_counter() - begun
    load.usual_bytes = sorted(sizes)[len(sizes) // 2]
    return load


async def answered(
    reader: asyncio.StreamReader, writer: asyncio.StreamWriter, method: str, path: str, body: bytes = b""
) -> tuple[int, bytes]:
    """Status and body of the answer to one request on an open connection."""
    sent = f"content-type: application/json\r\ncontent-length: {len(body)}\r\n" if body else ""
    writer.write(f"{method} {path} HTTP/1.1\r\nhost: bench\r\n{sent}\r\n".encode() + body)
    head = (await reader.readuntil(b"\r\n\r\n")).lower()
    length = int(head.split(b"content-length:")[1].split(b"\r\n")[0])
    return int(head.split()[1]), await reader.readexactly(length)


def _installations() -> list[Any]:
    return [json.loads(path.read_bytes())["installation"] for path in sorted((rules_folder() / CASES).glob("*.json"))]


def _changed(value: Any, chance: random.Random) -> Any:
    """The same document with other facts where facts of that kind stood."""
    if isinstance(value, dict):
        return {key: _changed(member, chance) for key, member in value.items()}
    if isinstance(value, list):
        return [_changed(member, chance) for member in value]
    if value in ("copper", "steel"):
        return chance.choice(_METALS)
    if value in ("yes", "no"):
        return chance.choice(_YES_NO)
    return _measured_anew(value, chance)


def _measured_anew(value: Any, chance: random.Random) -> Any:
    """The same document with other numbers and readings."""
    if isinstance(value, dict):
        return {key: _measured_anew(member, chance) for key, member in value.items()}
    if isinstance(value, list):
        return [_measured_anew(member, chance) for member in value]
    if isinstance(value, bool):
        return value
    if isinstance(value, int | float):
        return round(value * chance.uniform(0.8, 1.2), 2)
    return re.sub(r"\d+(?= \w*ohm$)", lambda found: str(max(1, round(int(found[0]) * chance.uniform(0.5, 2)))), value)

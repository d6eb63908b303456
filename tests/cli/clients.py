"""Clients that post evaluations again and again on connections of their own, and note what becomes of each request."""

import asyncio
import json
from dataclasses import dataclass, field

from tests.cli.command import HOUSE


@dataclass(slots=True)
class Met:
    """What the clients met. `answered`: the id and body of each evaluation; `refused`: statuses that were no 201.

    `unanswered`: requests on connections that no answer had called closed, and that ended without an answer; `ready`: answers of /readyz.
    """

    answered: dict[str, bytes] = field(default_factory=dict)
    refused: list[int] = field(default_factory=list)
    unanswered: int = 0
    ready: list[int] = field(default_factory=list)


async def posting(address: tuple[str, int], met: Met) -> None:
    """Posts until an answer says that the connection closes, or it ends."""
    reader, writer = await asyncio.open_connection(*address)
    try:
        closing = False
        while not closing:
            closing = await _posted(reader, writer, met)
    finally:
        writer.close()


async def readiness(address: tuple[str, int], met: Met) -> None:
    """Asks whether it is ready until an answer says that the connection closes."""
    reader, writer = await asyncio.open_connection(*address)
    closing = False
    while not closing:
        writer.write(b"GET /readyz HTTP/1.1\r\nhost: tests\r\n\r\n")
        status, closing, _ = await _answer(reader)
        met.ready.append(status)
    writer.close()


async def _posted(reader: asyncio.StreamReader, writer: asyncio.StreamWriter, met: Met) -> bool:
    """Whether the connection is at its end."""
    body = HOUSE.read_bytes()
    head = f"POST /v1/evaluations HTTP/1.1\r\nhost: tests\r\ncontent-type: application/json\r\ncontent-length: {len(body)}\r\n\r\n"
    try:
        writer.write(head.encode() + body)
        status, closing, answer = await _answer(reader)
    except (ConnectionError, asyncio.IncompleteReadError):
        met.unanswered += 1
        return True
    if status == 201:
        met.answered[json.loads(answer)["evaluation_id"]] = answer
    else:
        met.refused.append(status)
    return closing


async def _answer(reader: asyncio.StreamReader) -> tuple[int, bool, bytes]:
    """Its status, whether it says that the connection closes, and its body, which uvicorn's own answers give without a length."""
    head = (await reader.readuntil(b"\r\n\r\n")).lower()
    length = int(head.split(b"content-length:")[-1].split(b"\r\n")[0]) if b"content-length:" in head else 0
    return int(head.split()[1]), b"\r\nconnection: close" in head, await reader.readexactly(length)

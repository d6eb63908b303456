"""Many descriptions evaluated one after the other, each with its own outcome, a few under way at once."""

import asyncio
from collections import deque
from collections.abc import AsyncIterator, Iterable

from msgspec import Struct

from bondwright.assembly.bondwright import Bondwright
from bondwright.assembly.recording import Envelope
from bondwright.errors import BondwrightError, Fault, TooMuch

AT_ONCE = 32
"""Lines under way at once: so many are recorded by one commit, and so many answers are in memory."""


class Outcome(Struct, frozen=True):
    """What became of a line, the first of which is 1: an evaluation, or why there is none."""

    line: int
    envelope: Envelope | None
    error: Exception | None


async def evaluated_lines(
    bondwright: Bondwright, lines: Iterable[bytes], most_bytes: int, tenant: str, idempotency_key: str | None = None
) -> AsyncIterator[Outcome]:
    """The outcome of each line, in order, once its record is durable; a line that is refused stops no other.

    Those under way cost at most as much together as one description may.

    `most_bytes`: of one line. `idempotency_key`: of the whole; each line has one made of it and its number, so what was answered before
    is answered the same again.
    """
    under_way: deque[tuple[int, asyncio.Task[Outcome]]] = deque()
    try:
        for number, line in enumerate(lines, start=1):
            key = f"{idempotency_key}\n{number}" if idempotency_key else None
            price = price_of_line(bondwright, line, most_bytes)
            while under_way and sum(one for one, _ in under_way) + price > bondwright.most_price:
                yield await under_way.popleft()[1]
            under_way.append((price, asyncio.ensure_future(_outcome(bondwright, number, line, most_bytes, tenant, key))))
            if len(under_way) >= AT_ONCE:
                yield await under_way.popleft()[1]
        while under_way:
            yield await under_way.popleft()[1]
    finally:
        for _, task in under_way:
            task.cancel()


def price_of_line(bondwright: Bondwright, line: bytes, most_bytes: int) -> int:
    """What a line costs; one that will be refused costs 1."""
    try:
        return bondwright.price(line) if len(line) <= most_bytes else 1
    except TooMuch:
        return 1


async def _outcome(bondwright: Bondwright, number: int, line: bytes, most_bytes: int, tenant: str, key: str | None) -> Outcome:
    if len(line) > most_bytes:
        return Outcome(number, None, TooMuch((Fault("", f"send at most {most_bytes:,} bytes in a line"),)))
    try:
        return Outcome(number, await bondwright.submit(line, tenant, key), None)
    except BondwrightError as error:
        return Outcome(number, None, error)
    except Exception as error:  # a fault of ours on one line must not cut the stream; the front logs it
        return Outcome(number, None, error)

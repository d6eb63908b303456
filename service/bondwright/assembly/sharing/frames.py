"""What two processes say to each other: frames of a head in JSON and of parts, which are bytes.

The head goes as its length in 8 bytes and its text; its member `parts` has the length of each part, which follow as they are.
"""

from collections.abc import Sequence
from typing import IO, Any

import orjson
from msgspec import Struct

_LENGTH_BYTES = 8


class Frame(Struct, frozen=True):
    """One thing said. `head` holds what JSON can."""

    head: dict[str, Any]
    parts: tuple[bytes, ...] = ()


class Ended(Exception):
    """The other process has said its last, perhaps in the middle of a frame."""


def write_frame(stream: IO[bytes], head: dict[str, Any], parts: Sequence[bytes] = ()) -> None:
    """Nothing, once all of it is on its way. Raises: OSError, if nobody reads."""
    text = orjson.dumps(head | {"parts": [len(part) for part in parts]})
    stream.write(len(text).to_bytes(_LENGTH_BYTES) + text)
    for part in parts:
        stream.write(part)
    stream.flush()


def read_frame(stream: IO[bytes]) -> Frame:
    """The next frame. Raises: Ended."""
    head = orjson.loads(_exactly(stream, int.from_bytes(_exactly(stream, _LENGTH_BYTES))))
    return Frame(head, tuple(_exactly(stream, length) for length in head.pop("parts")))


def _exactly(stream: IO[bytes], length: int) -> bytes:
    content = stream.read(length)
    if len(content) < length:
        raise Ended
    return content

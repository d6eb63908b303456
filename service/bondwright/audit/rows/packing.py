"""Large answers, kept in fewer bytes (Zstandard, RFC 8878), so that writing one of them keeps nobody else waiting.

Digested, answered and replayed is always the answer itself; only where a database keeps it does it stand packed.
"""

from typing import Final

from bondwright.errors import RecordBroken

LARGE: Final = 1_000_000
"""Bytes from which on an answer is packed; smaller ones are kept as they are, to be read with any tool."""
MAGIC: Final = bytes.fromhex("28b52ffd")
"""What a packed answer begins with; no JSON does."""


def packed(answer: bytes) -> bytes | None:
    """The answer as it is kept where that is not as it is: if it is large. What begins as a packed one is packed too, to be told apart."""
    if len(answer) < LARGE and not answer.startswith(MAGIC):
        return None
    # Loaded here only: most services never meet a large answer.
    from backports.zstd import compress

    # An answer of 137 MB: 0.05 s, in which others may use the interpreter, to 0.75 MB; the usual level saves a fifth more.
    return compress(answer, 1)


def unpacked(what: str, kept: bytes) -> bytes:
    """The answer. Raises: RecordBroken, naming `what`, if what is kept cannot be unpacked."""
    if not kept.startswith(MAGIC):
        return kept
    from backports.zstd import ZstdError, decompress

    try:
        return decompress(kept)
    except ZstdError as error:
        raise RecordBroken(f"{what}: its answer is kept packed and cannot be unpacked: {error}") from error

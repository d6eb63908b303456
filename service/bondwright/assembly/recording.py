"""What is recorded of an evaluation, and what its caller is given once it is."""

import secrets
from collections import deque
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime

import orjson

from bondwright.assembly.answers import Answer
from bondwright.audit.record import NewRecord
from bondwright.rulebook.withdrawal import Withdrawal

_SALT, _DRAWN = 16, 100

TENANT = "local"
"""Whose records these are where no keys are asked for."""


@dataclass(frozen=True, slots=True)
class Envelope:
    """A recorded evaluation as answered: `body` is `{evaluation_id, recorded_at, versions, evaluation}`, the same bytes every time.

    `parts`: these bytes in several, for the evaluation may be large.

    `is_repeated`: it is the first answer to a request that was sent again. `withdrawn`: since when and why the pack is withdrawn that
    decided, if so; it is no part of the body, which never changes. `record`: what it was made of.
    """

    evaluation_id: str
    pack_id: str
    parts: tuple[bytes, ...] = field(repr=False)
    record: NewRecord = field(repr=False, compare=False)
    is_repeated: bool = field(default=False, compare=False)
    withdrawn: Withdrawal | None = field(default=None, compare=False)

    @property
    def body(self) -> bytes:
        """All of it."""
        return b"".join(self.parts)


class Salts:
    """Salts of 16 random bytes, drawn a hundred at once, for each draw hands the interpreter to another thread.

    May be shared between threads.
    """

    def __init__(self) -> None:
        self._drawn: deque[bytes] = deque()

    def next(self) -> bytes:
        """One that was never given before."""
        while True:
            with suppress(IndexError):
                return self._drawn.pop()
            drawn = secrets.token_bytes(_SALT * _DRAWN)
            self._drawn.extend(drawn[at : at + _SALT] for at in range(0, len(drawn), _SALT))


def record_of(
    answer: Answer, raw: bytes, tenant: str, evaluation_id: str, now: datetime, salt: bytes, versions: Mapping[str, str]
) -> NewRecord:
    """What is to be kept of an evaluation.

    `raw`: the description as it was sent; `versions`: what answered, by name.
    """
    return NewRecord(
        evaluation_id=evaluation_id,
        tenant=tenant,
        recorded_at=now.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%f")[:-3] + "Z",
        salt=salt,
        input_bytes=raw,
        evaluation_bytes=answer.told.content,
        evaluation_digest=answer.told.digest,
        pack_id=answer.pack.pack_id,
        pack_digest=answer.pack.digest,
        versions=versions,
    )


def envelope(record: NewRecord, withdrawn: Mapping[str, Withdrawal], is_repeated: bool = False) -> Envelope:
    """The answer that a record is given by, at once or later. `withdrawn`: the packs that are, by pack_id."""
    # The evaluation is spliced in as the bytes that were digested; nothing parses or writes it again.
    head = {"evaluation_id": record.evaluation_id, "recorded_at": record.recorded_at, "versions": dict(record.versions)}
    opening = orjson.dumps(head, option=orjson.OPT_SORT_KEYS)[:-1] + b',"evaluation":'
    parts = (opening, record.evaluation_bytes, b"}")
    return Envelope(record.evaluation_id, record.pack_id, parts, record, is_repeated, withdrawn.get(record.pack_id))

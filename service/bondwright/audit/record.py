"""What is kept of an evaluation, and what every store of records promises."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

from bondwright.audit.marks import Marks, Told, marks_of
from bondwright.audit.writer import Writing
from bondwright.errors import RecordBroken

_REFUSED = "the record is open to be read only"


@dataclass(frozen=True, slots=True)
class NewRecord:
    """One evaluation, ready to be kept; everything that depends on time or chance is given by the caller.

    `evaluation_id`: a UUIDv7 as text, never used twice. `tenant`: whose it is; `local` until keys exist. `recorded_at`: UTC, as
    `2026-11-25T09:30:00.000Z`. `salt`: 16 or more random bytes. `input_bytes`: the request body as received. `evaluation_bytes`: the
    replayed part of the answer; `evaluation_digest` is their SHA-256 in hex. `versions`: what ran, such as `service` and `engine`.
    """

    evaluation_id: str
    tenant: str
    recorded_at: str
    salt: bytes = field(repr=False)
    input_bytes: bytes = field(repr=False)
    evaluation_bytes: bytes = field(repr=False)
    evaluation_digest: str
    pack_id: str
    pack_digest: str
    versions: Mapping[str, str]

    def numbered(self, counter: int) -> "Record":
        """This record as kept under `counter`."""
        return Record(**{name: getattr(self, name) for name in NewRecord.__slots__}, counter=counter)


@dataclass(frozen=True, slots=True)
class Record(NewRecord):
    """A kept evaluation; `counter` numbers its tenant's records 1, 2, 3 … without a gap, in the order they were kept."""

    counter: int


@dataclass(frozen=True, slots=True)
class Once:
    """A request that may be sent again: `idempotency_key` is the caller's, `request_digest` the SHA-256 of what was asked, in hex."""

    idempotency_key: str
    request_digest: str


@dataclass(frozen=True, slots=True)
class PackRecord:
    """A rule pack as it was first used: `text` is the published file, `digest` its SHA-256 in hex."""

    pack_id: str
    digest: str
    text: bytes = field(repr=False)
    first_used_at: str


@dataclass(frozen=True, slots=True)
class Summary:
    """A kept evaluation in short. `reference` is the describer's own; `day` is that of the work, as `2026-11-25`."""

    evaluation_id: str
    recorded_at: str
    reference: str
    pack_id: str
    day: str
    counter: int


@dataclass(frozen=True, slots=True)
class Search:
    """Which evaluations are wanted: those that fit everything that is given.

    `pack`: id or digest of the pack that decided; `packs`: ids, one of which it has. `rule`, `clause`: some verdict or size rests on it.
    `level`: (outcome, worst case) of some verdict. `recorded_from`, `recorded_to`: recorded then or later, and before then; UTC, written
    as `recorded_at` is or as its first part, such as `2026-11-25`.
    """

    reference: str | None = None
    pack: str | None = None
    rule: str | None = None
    clause: str | None = None
    level: tuple[str, str] | None = None
    recorded_from: str | None = None
    recorded_to: str | None = None
    packs: tuple[str, ...] | None = None


class RecordStore(Protocol):
    """Keeps records for good: they can be added and read, never changed or removed.

    Every method may be called from any thread and raises RecordBroken when the store cannot be read, written or trusted.
    """

    @property
    def writing(self) -> Writing:
        """How the writing goes now; touches no database."""

    def append(self, record: NewRecord, pack_text: bytes, once: Once | None = None, told: Told | None = None) -> Record:
        """The record with its counter, once it would survive a power cut; waits for that.

        The pack is kept whole with the first record that cites it. With `once`: the first record that its tenant kept for the same
        request under that key, and only where there is none, this one, both in one transaction. With `told`: what was told with these
        very bytes, so that they are not read again for it.
        Raises: RecordBroken, and keeps nothing, if the evaluation_id is taken, bytes do not hash to their digest, or the pack_id
        already stands for other bytes; SentBefore, and keeps nothing, if the key came with another request.
        """

    async def append_soon(self, record: NewRecord, pack_text: bytes, once: Once | None = None, told: Told | None = None) -> Record:
        """The same as `append`, for an event loop. A record may still be kept after its waiter was cancelled."""

    def get(self, tenant: str, evaluation_id: str) -> Record:
        """The tenant's record of that id, checked against its digest. Raises: UnknownName."""

    def answered(self, tenant: str, once: Once) -> Record | None:
        """The record that the tenant kept for that request under that key, if there is one. Raises: SentBefore."""

    def page(self, tenant: str, after: int | None, limit: int) -> tuple[Record, ...]:
        """The tenant's records with a counter above `after` (none: from the first), rising, `limit` (1 or more) at most."""

    def find(self, tenant: str, wanted: Search, after: int | None, limit: int) -> tuple[Summary, ...]:
        """Summaries of the tenant's records that fit `wanted`, by counter as `page` gives them; answered without reading any record."""

    def marks(self, tenant: str, counter: int) -> Marks:
        """What `find` finds the tenant's record of that counter by, as it is kept; empty marks if there is none.

        It takes no longer in a larger store, but for the packs that it has.
        """

    def pack(self, pack_id_or_digest: str) -> PackRecord:
        """The pack kept under that id or digest, checked against its digest. Raises: UnknownName."""

    def count(self, tenant: str) -> int:
        """How many records the tenant has."""

    def tenants(self) -> tuple[str, ...]:
        """The names of those who have records or keys, in their order; see the store for whom it cannot know of."""

    def check(self) -> None:
        """Nothing, once a durable write that leaves no row behind has worked. Raises: RecordBroken."""

    def close(self) -> None:
        """Nothing, once everything handed over is kept. Closing again does nothing."""


class NothingWritten:
    """The writing half of a RecordStore that takes nothing."""

    @property
    def writing(self) -> Writing:
        """See RecordStore."""
        return Writing(0, 0, 0)

    def append(self, *_: Any, **__: Any) -> Record:
        """Raises: RecordBroken."""
        raise RecordBroken(_REFUSED)

    async def append_soon(self, *_: Any, **__: Any) -> Record:
        """Raises: RecordBroken."""
        raise RecordBroken(_REFUSED)

    def check(self) -> None:
        """Raises: RecordBroken."""
        raise RecordBroken(_REFUSED)


def demand_digest(what: str, content: bytes, digest: str) -> None:
    """Nothing, if `digest` is the SHA-256 of `content` in lower-case hex. Raises: RecordBroken, naming `what`."""
    if hashlib.sha256(content).hexdigest() != digest:
        raise RecordBroken(f"{what}: its bytes do not hash to its digest")


def marks_for(record: NewRecord, told: Told | None) -> Marks:
    """What a record is to be found by: what was told with these very bytes; where nothing was, what they say themselves.

    Raises: RecordBroken, if its digest is not that of its bytes, or they are not what was told of.
    """
    if told is None:
        demand_digest(f"evaluation {record.evaluation_id}", record.evaluation_bytes, record.evaluation_digest)
        return marks_of(record.evaluation_bytes)
    if told.content is not record.evaluation_bytes or told.digest != record.evaluation_digest:
        raise RecordBroken(f"evaluation {record.evaluation_id}: what was told is of another answer")
    return told.marks

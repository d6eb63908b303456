"""What a store of records is asked to write, alike in every database."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from bondwright.audit.marks import Marks
from bondwright.audit.record import NewRecord, Once, Record
from bondwright.errors import RecordBroken, SentBefore

# Pages that a record touches besides its own bytes, one for each mark; and no more than that, so that one huge record stops no others.
_BESIDE, _MOST_ROOM = 500_000, 1_500_000


@dataclass(frozen=True, slots=True)
class Addition:
    """A record to keep with its marks. `pack_text`: of its pack, unless that is known to be kept. `once`: see RecordStore.append.

    `packed`: its answer as it is kept, where that is not as it is.
    """

    record: NewRecord
    marks: Marks
    pack_text: bytes | None
    once: Once | None = None
    packed: bytes | None = field(default=None, repr=False)

    @property
    def answer_kept(self) -> bytes:
        """Its answer as it is kept."""
        return self.record.evaluation_bytes if self.packed is None else self.packed


@dataclass(frozen=True, slots=True)
class Trial:
    """A durable write that leaves no row behind."""


@dataclass(slots=True)
class Room:
    """Room for another record, as far as the last write has shown.

    `missing`: bytes that a trial must write to show that a record would fit again; 0, unless one was refused for want of room.
    """

    missing: int = 0

    def refused(self, jobs: Sequence[Addition | Trial]) -> None:
        """Notes that these found no room."""
        sizes = [_size(job) for job in jobs if isinstance(job, Addition)]
        self.missing = min(_MOST_ROOM, max(self.missing, _BESIDE + max(sizes, default=0)))

    def found(self, outcomes: Sequence[Record | Exception | None]) -> None:
        """Notes what became of jobs that the database took: a trial, or a record that was kept, has written as much as a record."""
        if any(not isinstance(outcome, Exception) for outcome in outcomes):
            self.missing = 0


def _size(addition: Addition) -> int:
    return len(addition.record.input_bytes) + len(addition.answer_kept) + len(addition.pack_text or b"")


def first_of_each(additions: Sequence[Addition], before: Mapping[str, Record]) -> list[Addition]:
    """Those to be written: of requests that came more than once the first, unless it was answered before.

    `before`: the records of requests that were, by idempotency key. Raises: RecordBroken, if an id is there twice; SentBefore.
    """
    first: dict[str, Addition] = {}
    new: dict[str, Addition] = {}
    for addition in additions:
        if once := addition.once:
            one = first.setdefault(once.idempotency_key, addition)
            if one.once != once:
                raise SentBefore("this idempotency key came before with another request")
            if one is not addition or once.idempotency_key in before:
                continue
        if addition.record.evaluation_id in new:
            raise RecordBroken("not recorded: the evaluation_id is taken")
        new[addition.record.evaluation_id] = addition
    return list(new.values())

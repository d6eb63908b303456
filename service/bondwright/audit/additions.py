"""What a store of records is asked to write, alike in every database."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from bondwright.audit.marks import Marks
from bondwright.audit.record import NewRecord, Once, Record
from bondwright.errors import RecordBroken, SentBefore


@dataclass(frozen=True, slots=True)
class Addition:
    """A record to keep with its marks. `pack_text`: of its pack, unless that is known to be kept. `once`: see RecordStore.append."""

    record: NewRecord
    marks: Marks
    pack_text: bytes | None
    once: Once | None = None


@dataclass(frozen=True, slots=True)
class Trial:
    """A durable write that leaves no row behind."""


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

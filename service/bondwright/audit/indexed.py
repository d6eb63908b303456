"""Whether a record is found by what it says, by nothing less and by nothing more."""

from collections.abc import Iterator
from dataclasses import dataclass

from bondwright.audit.marks import Marks, marks_of
from bondwright.audit.record import Record, Summary


@dataclass(frozen=True, slots=True)
class WronglyIndexed:
    """A record that is not found by what it says. `missing`: what it should be found by; `too_much`: what it should not be."""

    counter: int
    evaluation_id: str
    missing: tuple[str, ...]
    too_much: tuple[str, ...]


def wrongly_indexed(record: Record, summary: Summary | None, kept: Marks) -> WronglyIndexed | None:
    """What is wrong with the summary and the marks that are kept of a record; none, if nothing is."""
    wanted = [f"id {record.evaluation_id}", f"recorded at {record.recorded_at}", f"rule pack {record.pack_id}"]
    wanted += _words(marks_of(record.evaluation_bytes))
    found = [f"id {summary.evaluation_id}", f"recorded at {summary.recorded_at}", f"rule pack {summary.pack_id}"] if summary else []
    found += _words(kept)
    missing = tuple(one for one in wanted if one not in found)
    too_much = tuple(one for one in found if one not in wanted)
    return WronglyIndexed(record.counter, record.evaluation_id, missing, too_much) if missing or too_much else None


def _words(marks: Marks) -> Iterator[str]:
    yield from (f"{name} {value}" for name, value in (("reference", marks.reference), ("day", marks.day)) if value)
    yield from (f"rule {rule} of {pack_id}" for rule, pack_id in marks.rules)
    yield from (f"clause {clause}" for clause in marks.clauses)
    yield from (f"level {outcome} {worst_case}" for outcome, worst_case in marks.levels)

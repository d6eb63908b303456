"""What is told of an answer when it is written is what its bytes say, and nothing is kept on the word of another answer."""

import asyncio
import hashlib
from contextlib import closing
from pathlib import Path

import pytest
from tests.api.builders import HOUSE, service
from tests.audit.builders import PACK_TEXT, evaluation, new_record

from bondwright.audit.marks import Marks, Told, marks_of, told
from bondwright.audit.record import NewRecord, Record, RecordStore, Search
from bondwright.audit.sqlite.batches import _MOST_BYTES, _MOST_RECORDS
from bondwright.audit.sqlite.keeping import _PIECE_BYTES
from bondwright.cli.demo import CASES, shipped_cases
from bondwright.errors import RecordBroken
from bondwright.members import replace
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import on_shelf

OTHER = Marks(reference="another", rules=(("other", "tests-2026-r1"),))


def _told_of(record: NewRecord, marks: Marks) -> Told:
    return Told(record.evaluation_bytes, record.evaluation_digest, marks)


def test_every_worked_case_is_told_as_its_bytes_say(tmp_path: Path) -> None:
    sent = [HOUSE, *(case.description for case in shipped_cases(rules_folder() / CASES))]
    with closing(service(on_shelf(rules_folder()), tmp_path / "record.sqlite")) as bondwright:
        answers = [bondwright.evaluate(raw) for raw in sent]

    as_told = [told(answer.evaluation, answer.body) for answer in answers]

    assert [Told(answer.body, hashlib.sha256(answer.body).hexdigest(), marks_of(answer.body)) for answer in answers] == as_told


def test_a_record_is_found_by_what_was_told_with_its_bytes(store: RecordStore) -> None:
    record = new_record("e1", evaluation_bytes=evaluation("Mill Lane 1"))

    kept = store.append(record, PACK_TEXT, told=_told_of(record, marks_of(record.evaluation_bytes)))

    assert store.marks("local", kept.counter) == marks_of(record.evaluation_bytes)


@pytest.mark.parametrize("wrong", ["content", "digest"])
def test_what_was_told_of_another_answer_is_refused(store: RecordStore, wrong: str) -> None:
    record = new_record("e1", evaluation_bytes=evaluation("Mill Lane 1"))
    other = new_record("e2", evaluation_bytes=evaluation("Mill Lane 2"))
    its_own = _told_of(record, OTHER)
    of_another = (
        replace(its_own, content=other.evaluation_bytes) if wrong == "content" else replace(its_own, digest=other.evaluation_digest)
    )

    with pytest.raises(RecordBroken, match="of another answer"):
        store.append(record, PACK_TEXT, told=of_another)

    assert store.page("local", None, 1) == ()


@pytest.mark.parametrize("many", [1, 2, _MOST_RECORDS - 1, _MOST_RECORDS, _MOST_RECORDS + 1, 2 * _MOST_RECORDS + 7])
def test_each_of_many_that_are_kept_together_has_its_own_marks(store: RecordStore, many: int) -> None:
    records = [new_record(f"e{n}", evaluation_bytes=evaluation(f"Mill Lane {n}", rule=f"r{n}", clause=f"1.{n % 3}")) for n in range(many)]

    kept = _kept_together(store, records)

    assert [store.marks("local", one.counter) for one in kept] == [marks_of(record.evaluation_bytes) for record in records]
    assert list(kept) == list(store.page("local", None, many + 1))
    assert [one.evaluation_id for one in store.find("local", Search(clause="1.2"), None, many)] == [f"e{n}" for n in range(2, many, 3)]


@pytest.mark.parametrize("size", [_MOST_BYTES // 2 - 100, _MOST_BYTES // 2 + 100, _MOST_BYTES + 1])
def test_large_answers_that_are_kept_together_are_kept_whole(store: RecordStore, size: int) -> None:
    records = [new_record(f"e{n}", input_bytes=bytes([n]) * size) for n in range(4)]

    kept = _kept_together(store, records)

    assert [record.input_bytes for record in records] == [one.input_bytes for one in store.page("local", None, 9)]
    assert [one.counter for one in kept] == [1, 2, 3, 4]


@pytest.mark.parametrize("size", [_MOST_BYTES, _MOST_BYTES + 1, 2 * _PIECE_BYTES, 2 * _PIECE_BYTES + 1])
def test_an_answer_that_is_kept_in_pieces_is_kept_whole_with_its_marks(store: RecordStore, size: int) -> None:
    records = [new_record(f"e{n}", evaluation_bytes=evaluation(f"Mill Lane {n}").ljust(size)) for n in range(2)]

    kept = _kept_together(store, records)

    assert list(store.page("local", None, 9)) == kept
    assert [one.evaluation_bytes for one in kept] == [record.evaluation_bytes for record in records]
    assert [store.marks("local", one.counter).reference for one in kept] == ["Mill Lane 0", "Mill Lane 1"]


def test_one_of_many_that_is_refused_leaves_the_rest_with_their_marks(store: RecordStore) -> None:
    records = [new_record(f"e{n}", evaluation_bytes=evaluation(f"Mill Lane {n}")) for n in range(9)]
    records[4] = replace(records[4], salt=b"short")

    outcomes = asyncio.run(_appended(store, records))

    assert [n for n, outcome in enumerate(outcomes) if isinstance(outcome, RecordBroken)] == [4]
    assert [f"Mill Lane {n}" for n in range(9) if n != 4] == [store.marks("local", counter).reference for counter in range(1, 9)]


def _kept_together(store: RecordStore, records: list[NewRecord]) -> list[Record]:
    outcomes = asyncio.run(_appended(store, records))
    assert all(isinstance(outcome, Record) for outcome in outcomes), outcomes
    return [outcome for outcome in outcomes if isinstance(outcome, Record)]


async def _appended(store: RecordStore, records: list[NewRecord]) -> list[Record | BaseException]:
    return await asyncio.gather(*(store.append_soon(record, PACK_TEXT) for record in records), return_exceptions=True)

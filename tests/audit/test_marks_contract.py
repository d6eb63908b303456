"""What a record is found by can be read back as it is kept: the contract of every store, and the plan of SQLite."""

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from tests.audit.builders import PACK_TEXT, evaluation, new_record

from bondwright.audit.looked_up import kept_marks
from bondwright.audit.marks import Marks, marks_of
from bondwright.audit.record import RecordStore
from bondwright.audit.sqlite.store import SqliteRecordStore

MANY = (
    b'{"reference":"Oak Row","pack":{"chosen_on":"2026-11-25"},"parts":['
    b'{"outcome":"main","act_on":"bond","because":[{"rule":"r2","pack_id":"p2","clause":"2"},{"rule":"r1","pack_id":"p2","clause":"1"}]},'
    b'{"outcome":"main","act_on":"ask","because":[{"rule":"r1","pack_id":"p1","clause":"1"}]},'
    b'{"outcome":"size","lowest":4,"highest":4,"because":[{"rule":"r\xc3\xa9","pack_id":"p2","clause":"10"}]}]}'
)
"""An answer with several marks of each kind, one of them with two packs."""


@pytest.mark.parametrize("content", [MANY, evaluation("ours", "r1", "1.1", ("main", "bond")), b'{"verdicts":[]}', b"not JSON"])
def test_the_marks_that_are_kept_are_those_of_the_evaluation(store: RecordStore, content: bytes) -> None:
    store.append(new_record("before", evaluation_bytes=evaluation("x", "r0")), PACK_TEXT)
    kept = store.append(new_record("a", evaluation_bytes=content), PACK_TEXT)
    store.append(new_record("behind", evaluation_bytes=evaluation("y", "r9")), PACK_TEXT)

    assert marks_of(content) == store.marks("local", kept.counter)


def test_each_tenant_has_marks_of_its_own(store: RecordStore) -> None:
    store.append(new_record("a", evaluation_bytes=evaluation("ours")), PACK_TEXT)
    store.append(new_record("b", tenant="theirs", evaluation_bytes=MANY), PACK_TEXT)

    assert [marks_of(evaluation("ours")), marks_of(MANY)] == [store.marks(tenant, 1) for tenant in ("local", "theirs")]


def test_a_counter_that_no_record_has_has_no_marks(store: RecordStore) -> None:
    store.append(new_record("a", evaluation_bytes=MANY), PACK_TEXT)

    assert Marks() == store.marks("local", 2)


def test_no_table_is_walked_to_read_the_marks_of_one_record(tmp_path: Path) -> None:
    SqliteRecordStore(tmp_path / "records.sqlite").close()
    plan: list[str] = []
    with closing(sqlite3.connect(tmp_path / "records.sqlite")) as connection:

        def rows(sql: str, *values: object) -> list[Any]:
            plan.extend(row[3] for row in connection.execute(f"EXPLAIN QUERY PLAN {sql}", values))
            return []

        kept_marks(rows, "local", 1)

    walks = [step for step in plan if step.startswith("SCAN") and step.split()[1] not in ("firsts", "pairs", "CONSTANT")]
    assert (len([step for step in plan if step.startswith("SEARCH")]), walks) == (14, [])

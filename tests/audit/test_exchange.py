"""Records as lines: nothing is lost on the way, and whatever was done to a line is found."""

from collections.abc import Callable
from pathlib import Path

import pytest
from tests.audit.builders import PACK_TEXT, evaluation, new_record

from bondwright.audit.exchange import lines_of, take_in
from bondwright.audit.record import RecordStore, Search
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.errors import RecordBroken

OTHER = b"another rule pack"


@pytest.fixture
def lines(store: RecordStore) -> list[bytes]:
    """The lines of three records by two packs: head, pack, record, record, pack, record, end."""
    store.append(new_record("a", evaluation_bytes=evaluation("ours", "r1"), input_bytes=b"\x00\xff"), PACK_TEXT)
    store.append(new_record("b", recorded_at="2026-11-26T00:00:00.000Z"), PACK_TEXT)
    store.append(new_record("c", pack_id="other-r1", pack_text=OTHER), OTHER)
    return list(lines_of(store, "local"))


@pytest.fixture
def empty(tmp_path: Path) -> SqliteRecordStore:
    """Another store, with nothing in it."""
    return SqliteRecordStore(tmp_path / "another.sqlite")


def test_everything_that_is_kept_arrives(store: RecordStore, lines: list[bytes], empty: SqliteRecordStore) -> None:
    added = take_in(empty, lines)
    kept = empty.page("local", None, 10)
    packs = [empty.pack(pack_id) for pack_id in ("tests-2026-r1", "other-r1")]
    found = [summary.evaluation_id for summary in empty.find("local", Search(rule="r1"), None, 10)]
    again = list(lines_of(empty, "local"))
    empty.close()

    assert (added, kept, again) == (3, store.page("local", None, 10), lines)
    assert packs == [store.pack(pack_id) for pack_id in ("tests-2026-r1", "other-r1")]
    assert found == ["a"]


def test_taking_in_again_adds_nothing(lines: list[bytes], empty: SqliteRecordStore) -> None:
    added = [take_in(empty, lines), take_in(empty, lines)]
    empty.close()

    assert added == [3, 0]


@pytest.mark.parametrize(
    ("change", "line"),
    [
        (lambda lines: [*lines[:3], lines[3].replace(b'"versions"', b'"Versions"'), *lines[4:]], "line 4"),
        (lambda lines: [*lines[:3], *lines[4:]], "line 4"),
        (lambda lines: [*lines[:2], lines[3], lines[2], *lines[4:]], "line 3"),
        (lambda lines: [*lines[:4], lines[3], *lines[4:]], "line 5"),
        (lambda lines: lines[1:], "line 1"),
        (lambda lines: [*lines, lines[-1]], "line 8"),
        (lambda lines: [*lines[:2], lines[2].replace(b"\n", b" \n"), *lines[3:]], "line 3"),
        (lambda lines: lines[:-1], "no end"),
        (lambda lines: lines[:0], "no end"),
        (lambda lines: [b"{}\n", *lines[1:]], "line 1"),
    ],
    ids=["changed", "left out", "two exchanged", "one twice", "no head", "two ends", "a space more", "no end", "nothing", "other JSON"],
)
def test_what_was_done_to_the_lines_is_found(
    lines: list[bytes], empty: SqliteRecordStore, change: Callable[[list[bytes]], list[bytes]], line: str
) -> None:
    with pytest.raises(RecordBroken, match=line):
        take_in(empty, change(lines))
    empty.close()


def test_after_a_refused_line_the_right_file_goes_on(lines: list[bytes], empty: SqliteRecordStore) -> None:
    with pytest.raises(RecordBroken):
        take_in(empty, [*lines[:3], b"{}\n"])

    added = take_in(empty, lines)
    empty.close()

    assert added == 2


def test_a_store_that_keeps_other_records_refuses_them(lines: list[bytes], empty: SqliteRecordStore) -> None:
    empty.append(new_record("own"), PACK_TEXT)

    with pytest.raises(RecordBroken, match="line 3: record 1 does not follow"):
        take_in(empty, lines)
    empty.close()


def test_a_store_that_keeps_the_same_id_with_other_content_refuses_it(lines: list[bytes], empty: SqliteRecordStore) -> None:
    empty.append(new_record("a"), PACK_TEXT)

    with pytest.raises(RecordBroken, match="line 3: evaluation a is kept here with other content"):
        take_in(empty, lines)
    empty.close()

"""Large answers are kept packed: in far fewer bytes, got back whole, whatever else they are.

What a packed answer is stands in RFC 8878 (Zstandard): its first four bytes are 28 B5 2F FD.
"""

import json
import secrets
import sqlite3
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

import pytest
from backports.zstd import decompress
from tests.audit.builders import PACK_TEXT, evaluation, new_record

from bondwright.audit.exchange import lines_of, take_in
from bondwright.audit.record import RecordStore, Search
from bondwright.audit.rows.packing import LARGE, MAGIC, packed, unpacked
from bondwright.audit.sqlite import owner
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.errors import RecordBroken

MANY = json.dumps([{"line": "Leave the water service unbonded", "number": number} for number in range(LARGE // 40)]).encode()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where a file of records may be."""
    return tmp_path / "records.sqlite"


def kept_as(path: Path) -> Sequence[bytes]:
    """The answers as the file has them."""
    with closing(sqlite3.connect(path)) as connection:
        return [answer for (answer,) in connection.execute("SELECT evaluation_bytes FROM record ORDER BY counter")]


@pytest.mark.parametrize("size", [LARGE - 1, LARGE])
def test_an_answer_is_packed_from_a_size_on(size: int) -> None:
    answer = MANY[:size]

    found = packed(answer)

    assert (found is None, len(answer)) == (size < LARGE, size)
    assert found is None or (found[:4].hex(), decompress(found)) == ("28b52ffd", answer)


@pytest.mark.parametrize(
    "answer",
    [b"", b"{}", MAGIC, MAGIC + b"no frame", packed(MANY), secrets.token_bytes(LARGE + 1), MANY],
    ids=["empty", "small", "magic", "magic-and-more", "packed-twice", "incompressible", "large"],
)
def test_every_store_gives_back_what_it_was_given(store: RecordStore, answer: bytes) -> None:
    kept = store.append(new_record("e1", evaluation_bytes=answer), PACK_TEXT)

    assert kept.evaluation_bytes == store.get("local", "e1").evaluation_bytes == store.page("local", None, 1)[0].evaluation_bytes == answer


def test_a_large_answer_takes_few_bytes_and_a_small_one_is_to_be_read_as_it_is(path: Path) -> None:
    with closing(SqliteRecordStore(path)) as store:
        store.append(new_record("e1", evaluation_bytes=MANY), PACK_TEXT)
        store.append(new_record("e2"), PACK_TEXT)

    large, small = kept_as(path)
    assert (len(large) < len(MANY) / 4, json.loads(small)) == (True, {"verdicts": []})


def test_a_large_answer_is_found_by_what_it_says(store: RecordStore) -> None:
    content = evaluation(rule="r7").ljust(LARGE)

    store.append(new_record("e1", evaluation_bytes=content), PACK_TEXT)

    assert [one.evaluation_id for one in store.find("local", Search(rule="r7"), None, 5)] == ["e1"]


@pytest.mark.parametrize("change", ["cut", "flipped"])
def test_a_packed_answer_that_was_changed_is_found_when_it_is_read(path: Path, change: str) -> None:
    store = SqliteRecordStore(path)
    store.append(new_record("e1", evaluation_bytes=MANY), PACK_TEXT)
    (kept,) = kept_as(path)
    at = len(kept) // 2
    broken = kept[:-3] if change == "cut" else kept[:at] + bytes([kept[at] ^ 1]) + kept[at + 1 :]
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("DROP TRIGGER record_never_update")
        connection.execute("UPDATE record SET evaluation_bytes = ?", (broken,))
        connection.commit()

    with pytest.raises(RecordBroken, match="e1"):
        store.get("local", "e1")
    store.close()


def test_what_is_kept_packed_is_not_taken_to_a_step_that_could_not_read_it(path: Path) -> None:
    with closing(SqliteRecordStore(path)) as store:
        store.append(new_record("e1", evaluation_bytes=MANY), PACK_TEXT)

    with pytest.raises(RecordBroken, match=r"1 large answers are kept packed.*export"):
        owner.take(path, "0003")

    with closing(SqliteRecordStore(path)) as store:
        assert (owner.step_of(path), store.get("local", "e1").evaluation_bytes) == ("0004", MANY)


def test_a_large_answer_is_exchanged_as_it_is(store: RecordStore, tmp_path: Path) -> None:
    store.append(new_record("e1", evaluation_bytes=MANY), PACK_TEXT)
    lines = list(lines_of(store, "local"))

    with closing(SqliteRecordStore(tmp_path / "other.sqlite")) as other:
        assert take_in(other, lines) == 1
        assert other.page("local", None, 5) == store.page("local", None, 5)


def test_what_is_not_packed_is_left_as_it_is() -> None:
    assert unpacked("evaluation e1", b'{"a":1}') == b'{"a":1}'
    with pytest.raises(RecordBroken, match=r"evaluation e1.*unpacked"):
        unpacked("evaluation e1", MAGIC + b"no frame")

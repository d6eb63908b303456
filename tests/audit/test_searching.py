"""Records are found by what they rest on: the contract of every store, the plans of SQLite, and files from before."""

import sqlite3
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.audit.builders import PACK_TEXT, digest, evaluation, new_record
from tests.audit.first_version import write_first_version

from bondwright.audit.marks import marks_of
from bondwright.audit.record import RecordStore, Search
from bondwright.audit.search import query
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.errors import RecordBroken

OTHER = b"another rule pack"
EVERY_SEARCH = [
    Search(),
    Search(reference="ours"),
    Search(pack="tests-2026-r1"),
    Search(pack=digest(OTHER)),
    Search(rule="r1"),
    Search(rule="r1", pack="tests-2026-r1"),
    Search(clause="1.1"),
    Search(level=("main", "bond")),
    Search(recorded_from="2026-11-26", recorded_to="2026-11-27"),
    Search(rule="r1", clause="1.1", level=("main", "bond"), reference="ours", pack="tests-2026-r1", recorded_to="2027"),
]


def found(store: RecordStore, wanted: Search) -> list[str]:
    """The ids that are found, over pages of two."""
    ids: list[str] = []
    after = None
    while page := store.find("local", wanted, after, 2):
        ids += [summary.evaluation_id for summary in page]
        after = page[-1].counter
    return ids


@pytest.fixture
def filled(store: RecordStore) -> RecordStore:
    """A store of five records, and one of another tenant."""
    store.append(new_record("a", evaluation_bytes=evaluation("ours", "r1", "1.1", ("main", "bond"))), PACK_TEXT)
    store.append(new_record("b", evaluation_bytes=evaluation("ours", "r2", "1.1", ("main", "leave"))), PACK_TEXT)
    store.append(new_record("c", recorded_at="2026-11-26T00:00:00.000Z", evaluation_bytes=evaluation("x", "r1", "2")), PACK_TEXT)
    later = evaluation("x", "r1", "1.1", ("main", "bond"))
    store.append(new_record("d", recorded_at="2026-11-26T23:59:59.999Z", evaluation_bytes=later), PACK_TEXT)
    store.append(new_record("e", recorded_at="2026-11-27T00:00:00.000Z", pack_id="other-r1", pack_text=OTHER), OTHER)
    store.append(new_record("f", tenant="theirs", evaluation_bytes=evaluation("ours", "r1", "1.1", ("main", "bond"))), PACK_TEXT)
    return store


@pytest.mark.parametrize(
    ("wanted", "ids"), list(zip(EVERY_SEARCH, ["abcde", "ab", "abcd", "e", "acd", "acd", "abd", "ad", "cd", "a"], strict=True))
)
def test_each_filter_finds_its_records_in_order(filled: RecordStore, wanted: Search, ids: str) -> None:
    assert list(ids) == found(filled, wanted)


@pytest.mark.parametrize(
    ("wanted", "ids"),
    [
        (Search(packs=("other-r1",)), "e"),
        (Search(packs=("other-r1", "tests-2026-r1")), "abcde"),
        (Search(packs=("other-r1", "tests-2026-r1"), pack="tests-2026-r1"), "abcd"),
        (Search(packs=("tests-2026-r1",), rule="r1"), "acd"),
        (Search(packs=("tests-2026-r1",), reference="ours", level=("main", "bond")), "a"),
        (Search(packs=("tests-2026-r1", "never-kept-r1"), recorded_from="2026-11-26"), "cd"),
        (Search(packs=("other-r1",), pack="tests-2026-r1"), ""),
        (Search(packs=("never-kept-r1",)), ""),
        (Search(packs=()), ""),
    ],
)
def test_what_rests_on_one_of_several_packs_is_found_in_order(filled: RecordStore, wanted: Search, ids: str) -> None:
    assert list(ids) == found(filled, wanted)


@pytest.mark.parametrize("wanted", [Search(pack="none"), Search(rule="r1", pack="other-r1"), Search(level=("main", "1.1"))])
def test_what_fits_no_record_finds_nothing(filled: RecordStore, wanted: Search) -> None:
    assert found(filled, wanted) == []


def test_a_summary_says_what_the_record_says(filled: RecordStore) -> None:
    (summary,) = filled.find("local", Search(reference="ours"), 1, 10)
    record = filled.get("local", "b")

    assert (summary.counter, summary.recorded_at, summary.pack_id) == (record.counter, record.recorded_at, record.pack_id)
    assert (summary.reference, summary.day) == ("ours", "2026-11-25")


def test_pages_of_a_search_stay_the_same_while_records_arrive(filled: RecordStore) -> None:
    before = filled.find("local", Search(rule="r1"), 1, 2)

    filled.append(new_record("late", evaluation_bytes=evaluation(rule="r1")), PACK_TEXT)

    assert filled.find("local", Search(rule="r1"), 1, 2) == before


@pytest.mark.parametrize("wanted", [Search(), Search(rule="r1"), Search(clause="1.1")], ids=str)
def test_going_on_from_page_to_page_misses_nothing_that_is_added_meanwhile(store: RecordStore, wanted: Search) -> None:
    def append(number: int) -> None:
        text = OTHER if number % 2 else PACK_TEXT
        pack_id = "other-r1" if number % 2 else "tests-2026-r1"
        content = evaluation(rule="r1").replace(b"tests-2026-r1", pack_id.encode())
        store.append(new_record(str(number), evaluation_bytes=content, pack_id=pack_id, pack_text=text), text)

    seen: list[int] = []
    with ThreadPoolExecutor(4) as threads:
        adding = [threads.submit(append, number) for number in range(300)]
        while not all(one.done() for one in adding) or len(seen) < 300:
            page = store.find("local", wanted, seen[-1] if seen else None, 5)
            if not page and all(one.done() for one in adding):
                break
            seen += [summary.counter for summary in page]
    late = store.find("local", wanted, seen[-1], 300)

    assert [*seen, *(summary.counter for summary in late)] == list(range(1, 301))


def test_a_refused_record_leaves_no_mark_behind(filled: RecordStore) -> None:
    with pytest.raises(RecordBroken):
        filled.append(new_record("a", evaluation_bytes=evaluation("left behind", "r9")), PACK_TEXT)
    kept = filled.append(new_record("g"), PACK_TEXT)

    assert (found(filled, Search(reference="left behind")), found(filled, Search(rule="r9")), kept.counter) == ([], [], 6)


_WORDS = st.sampled_from(["a", "b"])


@given(st.lists(st.tuples(_WORDS, _WORDS, _WORDS, _WORDS), max_size=8), st.tuples(*[st.none() | _WORDS] * 4))
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_search_finds_what_a_walk_over_all_records_finds(
    tmp_path: Path, kept: list[tuple[str, ...]], asked: tuple[str | None, ...]
) -> None:
    (tmp_path / "records.sqlite").unlink(missing_ok=True)
    store = SqliteRecordStore(tmp_path / "records.sqlite")
    for number, (reference, rule, clause, level) in enumerate(kept):
        store.append(new_record(str(number), evaluation_bytes=evaluation(reference, rule, clause, ("o", level))), PACK_TEXT)

    wanted = Search(reference=asked[0], rule=asked[1], clause=asked[2], level=None if asked[3] is None else ("o", asked[3]))
    ids = found(store, wanted)
    store.close()

    assert [str(n) for n, told in enumerate(kept) if all(a in (None, t) for a, t in zip(asked, told, strict=True))] == ids


@pytest.fixture
def raw(tmp_path: Path) -> Iterator[sqlite3.Connection]:
    """A connection of a stranger, with SQLite's own defaults, to a file of two records."""
    store = SqliteRecordStore(tmp_path / "records.sqlite")
    for evaluation_id in ("a", "b"):
        store.append(new_record(evaluation_id, evaluation_bytes=evaluation("ours", "r1", "1.1", ("main", "bond"))), PACK_TEXT)
    store.close()
    connection = sqlite3.connect(tmp_path / "records.sqlite", isolation_level=None)
    yield connection
    connection.close()


@pytest.mark.parametrize("wanted", EVERY_SEARCH, ids=str)
def test_every_search_is_answered_from_an_index(raw: sqlite3.Connection, wanted: Search) -> None:
    plan = _plan(raw, wanted)

    assert [step for step in plan if not step.startswith(("SEARCH", "CORRELATED", "USE TEMP B-TREE FOR ORDER BY"))] == []


@pytest.mark.parametrize("wanted", [one for one in EVERY_SEARCH if one.recorded_from is None], ids=str)
def test_a_search_that_asks_for_no_time_is_answered_without_sorting(raw: sqlite3.Connection, wanted: Search) -> None:
    assert [step for step in _plan(raw, wanted) if "TEMP" in step] == []


def test_which_evaluations_rest_on_a_rule_of_a_pack_is_one_range_of_the_key(raw: sqlite3.Connection) -> None:
    first = _plan(raw, Search(rule="r1", pack="tests-2026-r1"))[0]

    assert first == "SEARCH m USING PRIMARY KEY (tenant=? AND rule=? AND pack_id=? AND counter>?)"


@pytest.mark.parametrize(
    "statement",
    [
        "INSERT INTO rests_on_rule VALUES ('local', 'r9', 'tests-2026-r1', 1)",
        "INSERT OR REPLACE INTO rests_on_clause VALUES ('local', '9', 1)",
        "INSERT INTO rests_on_clause VALUES ('local', '9', 3)",
        "INSERT INTO has_level VALUES ('local', 'main', 'leave', 1)",
        "INSERT OR REPLACE INTO summary SELECT tenant, counter, evaluation_id, recorded_at, 'x', pack_id, day FROM summary",
        *(f"DELETE FROM {table}" for table in ("summary", "rests_on_rule", "rests_on_clause", "has_level")),
        *(f"UPDATE {table} SET counter = 9" for table in ("summary", "rests_on_rule", "rests_on_clause", "has_level")),
        "INSERT INTO record SELECT 'c', tenant, 3, recorded_at, pack_id, pack_digest, versions, evaluation_digest, salt, input_bytes, "
        "evaluation_bytes FROM record WHERE counter = 1",
    ],
)
def test_raw_sql_cannot_change_what_a_record_is_found_by(raw: sqlite3.Connection, statement: str) -> None:
    with pytest.raises(sqlite3.IntegrityError):
        raw.execute(statement)


def test_a_record_whose_marks_cannot_be_written_is_not_kept(raw: sqlite3.Connection, tmp_path: Path) -> None:
    store = SqliteRecordStore(tmp_path / "records.sqlite")
    raw.execute("DROP TABLE has_level")

    with pytest.raises(RecordBroken, match="not recorded"):
        store.append(new_record("c", evaluation_bytes=evaluation()), PACK_TEXT)
    store.close()

    assert raw.execute("SELECT count(*), max(counter) FROM record").fetchone() == (2, 2)
    assert raw.execute("SELECT count(*) FROM summary").fetchone() == (2,)


def test_a_file_of_version_1_is_brought_up_with_its_records(tmp_path: Path) -> None:
    contents = [evaluation("ours", "r1", "1.1", ("main", "bond")), evaluation("x", "r2"), evaluation("ours", "r1")]
    write_first_version(tmp_path / "old.sqlite", contents)

    store = SqliteRecordStore(tmp_path / "old.sqlite")
    ids = [found(store, wanted) for wanted in (Search(rule="r1"), Search(reference="x"), Search(level=("main", "bond")))]
    kept = [record.evaluation_bytes for record in store.page("local", None, 10)]
    counter = store.append(new_record("new", evaluation_bytes=evaluation(rule="r1")), PACK_TEXT).counter
    store.close()

    assert (ids, kept, counter) == ([["e1", "e3"], ["e2"], ["e1"]], contents, 4)


def test_a_file_brought_up_is_laid_out_as_a_new_one(tmp_path: Path) -> None:
    write_first_version(tmp_path / "old.sqlite", [])
    layouts: list[list[tuple[str, ...]]] = []
    for name in ("old.sqlite", "new.sqlite"):
        SqliteRecordStore(tmp_path / name).close()
        with sqlite3.connect(tmp_path / name) as connection:
            kept = connection.execute("SELECT type, name, sql FROM sqlite_schema").fetchall()
            layouts.append(sorted((kind, thing, (text or "").strip()) for kind, thing, text in kept))
        connection.close()

    assert layouts[0] == layouts[1]


def test_a_file_of_version_1_with_a_changed_record_is_refused_and_left_as_it_was(tmp_path: Path) -> None:
    write_first_version(tmp_path / "old.sqlite", [evaluation(), evaluation()], digest_of_last=digest(b"other bytes"))

    with pytest.raises(RecordBroken, match="evaluation e2"):
        SqliteRecordStore(tmp_path / "old.sqlite")

    with sqlite3.connect(tmp_path / "old.sqlite") as connection:
        version = connection.execute("PRAGMA user_version").fetchone()
        tables = connection.execute("SELECT count(*) FROM sqlite_schema WHERE type = 'table'").fetchone()
    connection.close()
    assert (version, tables) == ((1,), (2,))


def test_a_process_that_opened_version_1_cannot_append_without_marks(tmp_path: Path) -> None:
    older = write_first_version(tmp_path / "old.sqlite", [evaluation()], leave_open=True)
    SqliteRecordStore(tmp_path / "old.sqlite").close()

    with pytest.raises(sqlite3.IntegrityError, match="no summary"):
        older.execute(
            "INSERT INTO record SELECT 'late', tenant, 2, recorded_at, pack_id, pack_digest, versions, evaluation_digest, salt, "
            "input_bytes, evaluation_bytes FROM record"
        )
    older.close()


def test_the_marks_of_the_builder_are_what_it_was_asked_for() -> None:
    marks = marks_of(evaluation("ours", "r1", "2", ("main", "bond")))

    assert (marks.reference, marks.rules, marks.clauses, marks.levels) == ("ours", (("r1", "tests-2026-r1"),), ("2",), (("main", "bond"),))


def _plan(connection: sqlite3.Connection, wanted: Search) -> list[str]:
    sql, values = query("local", wanted, "tests-2026-r1" if wanted.pack or wanted.rule else None, 0, 20)
    return [row[3] for row in connection.execute(f"EXPLAIN QUERY PLAN {sql}", values)]

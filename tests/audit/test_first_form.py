"""Records of form 1, kept from when answers did not name their form: searched, replayed, exported, taken in, taken down and up."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from tests.audit.form_1.records import HERON, TERN, exported, kept_in, record_file

from bondwright.assembly import Bondwright
from bondwright.assembly.judging import Judge
from bondwright.assembly.replaying import Replayer
from bondwright.audit.comparing.difference import Difference, Replay
from bondwright.audit.exchange import lines_of, take_in
from bondwright.audit.marks import marks_of
from bondwright.audit.postgresql.store import PostgresqlRecordStore
from bondwright.audit.record import Once, Record, RecordStore, Search
from bondwright.audit.sqlite.file import SCHEMA_VERSION, step_named
from bondwright.audit.sqlite.owner import step_of, take
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.compose.answer import FORM
from bondwright.engine.channels import TwoChannels
from bondwright.members import replace
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import PackHead
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import on_shelf

TENANTS = (HERON, TERN)


@pytest.fixture(scope="session")
def packs() -> tuple[PackHead, ...]:
    """The published packs."""
    return on_shelf(rules_folder())


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A copy of the record file."""
    return record_file(tmp_path)


@pytest.fixture(params=["sqlite", "postgresql"])
def taken_in(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[RecordStore]:
    """A store of each kind that took in what was exported then."""
    if request.param == "sqlite":
        store: RecordStore = SqliteRecordStore(tmp_path / "another.sqlite")
    else:
        store = PostgresqlRecordStore(request.getfixturevalue("database"))
    assert take_in(store, exported()) == 3
    yield store
    store.close()


def over(store: RecordStore, packs: tuple[PackHead, ...]) -> Bondwright:
    """The service over a store that is open."""
    return Bondwright(packs, lambda: store, lambda pack: TwoChannels(pack, Kept()), versions={"service": "0.2.0"})


def searches(records: tuple[Record, ...]) -> list[Search]:
    """Searches that each find some of the records."""
    found = [marks_of(record.evaluation_bytes) for record in records]
    levels = sorted({level for marks in found for level in marks.levels})
    rules = sorted({rule for marks in found for rule, _ in marks.rules})
    clauses = sorted({clause for marks in found for clause in marks.clauses})
    references = sorted({marks.reference for marks in found})
    packs = sorted({record.pack_id for record in records})
    return [
        *(Search(level=level) for level in levels),
        *(Search(rule=rule) for rule in rules),
        *(Search(clause=clause) for clause in clauses),
        *(Search(reference=reference) for reference in references if reference),
        *(Search(pack=pack) for pack in packs),
    ]


def scanned(records: tuple[Record, ...], wanted: Search) -> list[str]:
    """The ids of the records that fit, found by reading each; `wanted` asks for one thing."""
    fitting = []
    for record in records:
        marks = marks_of(record.evaluation_bytes)
        told = {
            "level": marks.levels,
            "rule": [rule for rule, _ in marks.rules],
            "clause": marks.clauses,
            "reference": [marks.reference],
            "pack": [record.pack_id, record.pack_digest],
        }
        if any(getattr(wanted, name) in values for name, values in told.items()):
            fitting.append(record.evaluation_id)
    return fitting


def test_the_file_opens_as_it_is_and_gives_every_record_as_its_rows_have_it(file: Path) -> None:
    rows = {tenant: kept_in(file, tenant) for tenant in TENANTS}

    with closing(SqliteRecordStore(file)) as store:
        read = {tenant: store.page(tenant, None, 100) for tenant in TENANTS}

    assert (step_of(file), rows) == (step_named(SCHEMA_VERSION), read)
    assert [len(some) for some in rows.values()] == [6, 3]


def test_records_of_form_1_are_found_by_all_that_they_say(file: Path) -> None:
    with closing(SqliteRecordStore(file)) as store:
        for tenant in TENANTS:
            records = store.page(tenant, None, 100)
            for wanted in searches(records):
                assert [one.evaluation_id for one in store.find(tenant, wanted, None, 100)] == scanned(records, wanted) != []
            assert len(searches(records)) > 40


def test_a_file_of_form_1_is_taken_down_and_up_and_is_found_by_the_same(file: Path) -> None:
    with closing(SqliteRecordStore(file)) as store:
        before = [(store.page(tenant, None, 100), [store.marks(tenant, counter) for counter in range(1, 7)]) for tenant in TENANTS]

    take(file, "0001")
    with closing(SqliteRecordStore(file)) as store:
        after = [(store.page(tenant, None, 100), [store.marks(tenant, counter) for counter in range(1, 7)]) for tenant in TENANTS]

    assert before == after


def test_a_replay_of_form_1_is_never_the_same_bytes_and_says_that_levels_and_sizes_are_the_same(
    file: Path, packs: tuple[PackHead, ...]
) -> None:
    with closing(over(SqliteRecordStore(file), packs)) as bondwright:
        replayed = [one for tenant in TENANTS for one in bondwright.replay_all(tenant)]

    assert len(replayed) == 9
    for replay, wrongly_indexed in replayed:
        assert isinstance(replay, Replay)
        assert (replay.form_then, replay.form_now) == (1, FORM)
        assert (replay.same_bytes, replay.same_levels, replay.difference, replay.is_sound) == ("not_comparable", True, None, True)
        assert (replay.not_evaluated, replay.not_at_hand, wrongly_indexed) == (None, (), None)


@pytest.mark.parametrize(
    ("was", "now", "pointer"),
    [
        (b'"act_on":"required"', b'"act_on":"not_required"', "/parts/0/verdicts/1/act_on"),
        (b'"firm":true', b'"firm":false', "/parts/0/verdicts/0/firm"),
        (b'"lowest":10.0', b'"lowest":16.0', "/main_bond_size/lowest"),
        (b'"provisional":null', b'"provisional":10.0', "/main_bond_size/provisional"),
        (b'"outcome":"main_bonding"', b'"outcome":"other_bonding"', "/parts/0/verdicts/1"),
    ],
)
def test_a_replay_of_form_1_tells_the_first_level_or_size_that_differs(
    file: Path, packs: tuple[PackHead, ...], was: bytes, now: bytes, pointer: str
) -> None:
    record = kept_in(file, HERON)[0]
    assert was in record.evaluation_bytes
    forged = replace(record, evaluation_bytes=record.evaluation_bytes.replace(was, now, 1))

    with closing(Judge(packs, lambda pack: TwoChannels(pack, Kept()))) as judge, closing(SqliteRecordStore(file)) as store:
        replay = Replayer(judge, lambda: store, {"service": "0.2.0"}).replay(forged)

    assert (replay.same_bytes, replay.same_levels, replay.is_sound) == ("not_comparable", False, False)
    assert isinstance(replay.difference, Difference)
    assert replay.difference.pointer == pointer


def test_what_was_exported_then_is_exported_now_line_by_line(file: Path) -> None:
    with closing(SqliteRecordStore(file)) as store:
        lines = list(lines_of(store, TERN))

    assert lines == exported()


def test_what_was_exported_then_is_taken_in_found_and_replayed(taken_in: RecordStore, file: Path, packs: tuple[PackHead, ...]) -> None:
    records = kept_in(file, TERN)
    with closing(over(taken_in, packs)) as bondwright:
        replayed = list(bondwright.replay_all(TERN))

        assert taken_in.page(TERN, None, 100) == records
        assert {taken_in.pack(one.pack_id).digest for one in records} == {one.pack_digest for one in records}
        for wanted in searches(records):
            assert [one.evaluation_id for one in taken_in.find(TERN, wanted, None, 100)] == scanned(records, wanted) != []
        assert [one.same_levels for one, _ in replayed if isinstance(one, Replay)] == [True] * 3
        assert [wrong for _, wrong in replayed] == [None] * 3


def test_a_request_that_was_answered_in_form_1_is_answered_so_again(file: Path) -> None:
    record = kept_in(file, TERN)[0]
    with closing(sqlite3.connect(file)) as connection:
        (digest,) = connection.execute("SELECT request_digest FROM repeated_request WHERE counter = 1").fetchone()

    with closing(SqliteRecordStore(file)) as store:
        answered = store.answered(TERN, Once("request 7", digest))

    assert record == answered

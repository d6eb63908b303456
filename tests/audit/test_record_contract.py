"""What every store of records promises, whatever database is behind it."""

import asyncio
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.audit.builders import PACK_TEXT, digest, new_record

from bondwright.audit.record import NewRecord, PackRecord, Record, RecordStore
from bondwright.errors import RecordBroken, UnknownName


def test_an_appended_record_is_got_back_the_same(store: RecordStore) -> None:
    record = new_record("e1", input_bytes=b"\x00\xff{}", evaluation_bytes=b"\x00\xff[]")

    kept = store.append(record, PACK_TEXT)

    assert store.get("local", "e1") == kept == record.numbered(1)


def test_a_record_appended_from_an_event_loop_is_got_back_the_same(store: RecordStore) -> None:
    kept = asyncio.run(store.append_soon(new_record("e1"), PACK_TEXT))

    assert store.get("local", "e1") == kept


def test_each_tenants_counters_run_from_one(store: RecordStore) -> None:
    for n in range(6):
        store.append(new_record(f"e{n}", tenant="even" if n % 2 == 0 else "odd"), PACK_TEXT)

    assert [record.counter for record in store.page("odd", None, 10)] == [1, 2, 3]


def test_counters_have_no_gap_under_eight_threads(store: RecordStore) -> None:
    def append_fifty(thread: int) -> list[int]:
        return [store.append(new_record(f"e{thread}-{n}"), PACK_TEXT).counter for n in range(50)]

    with ThreadPoolExecutor(8) as threads:
        counters = [counter for given in threads.map(append_fifty, range(8)) for counter in given]

    assert sorted(counters) == list(range(1, 401))


def test_pages_rise_and_join_up(store: RecordStore) -> None:
    appended = tuple(store.append(new_record(f"e{n}"), PACK_TEXT) for n in range(5))

    pages = (store.page("local", None, 2), store.page("local", 2, 2), store.page("local", 4, 2), store.page("local", 5, 2))

    assert pages == (appended[:2], appended[2:4], appended[4:], ())


def test_a_page_stays_the_same_while_records_are_added(store: RecordStore) -> None:
    for n in range(3):
        store.append(new_record(f"e{n}"), PACK_TEXT)
    before = store.page("local", 1, 2)

    store.append(new_record("late"), PACK_TEXT)

    assert store.page("local", 1, 2) == before


def test_a_page_shows_no_other_tenants_records(store: RecordStore) -> None:
    store.append(new_record("e1", tenant="theirs"), PACK_TEXT)

    assert store.page("ours", None, 10) == ()


def test_another_tenants_record_is_unknown(store: RecordStore) -> None:
    store.append(new_record("e1", tenant="theirs"), PACK_TEXT)

    with pytest.raises(UnknownName):
        store.get("ours", "e1")


def test_a_repeated_id_is_refused(store: RecordStore) -> None:
    first = store.append(new_record("e1"), PACK_TEXT)

    with pytest.raises(RecordBroken, match="evaluation_id is taken"):
        store.append(new_record("e1", tenant="another", input_bytes=b"[]"), PACK_TEXT)

    assert store.get("local", "e1") == first


def test_a_repeated_id_is_refused_alone_among_those_written_with_it(store: RecordStore) -> None:
    ids = ["e1", "e2", "e1", "e3"]

    outcomes = asyncio.run(_append_all(store, [new_record(evaluation_id) for evaluation_id in ids]))

    assert [getattr(outcome, "counter", None) for outcome in outcomes] == [1, 2, None, 3]


@pytest.mark.parametrize(
    "unfit",
    [
        new_record("unfit", evaluation_digest=digest(b"other bytes")),
        new_record("unfit", salt=bytes(15)),
        new_record("unfit", recorded_at="2026-11-25T09:30:00Z"),
        new_record("unfit", pack_id="other-2026-r1", pack_text=b"bytes other than the text handed over"),
        new_record("unfit", tenant="\ud800"),
    ],
    ids=["evaluation digest", "short salt", "time without milliseconds", "pack digest", "tenant that no text can hold"],
)
def test_an_unfit_record_is_refused_alone(store: RecordStore, unfit: NewRecord) -> None:
    outcomes = asyncio.run(_append_all(store, [new_record("e1"), unfit, new_record("e2")]))

    assert [type(outcome) for outcome in outcomes] == [Record, RecordBroken, Record]


def test_a_pack_is_kept_whole_on_first_use(store: RecordStore) -> None:
    store.append(new_record("e1", recorded_at="2026-11-25T09:30:00.000Z"), PACK_TEXT)
    store.append(new_record("e2", recorded_at="2026-11-26T09:30:00.000Z"), PACK_TEXT)

    assert store.pack("tests-2026-r1") == PackRecord("tests-2026-r1", digest(PACK_TEXT), PACK_TEXT, "2026-11-25T09:30:00.000Z")


def test_a_pack_is_found_by_its_digest(store: RecordStore) -> None:
    store.append(new_record("e1"), PACK_TEXT)

    assert store.pack(digest(PACK_TEXT)) == store.pack("tests-2026-r1")


def test_a_pack_never_used_is_unknown(store: RecordStore) -> None:
    with pytest.raises(UnknownName):
        store.pack("tests-2026-r1")


def test_a_pack_id_that_stands_for_other_bytes_is_refused(store: RecordStore) -> None:
    store.append(new_record("e1"), PACK_TEXT)

    with pytest.raises(RecordBroken, match="already stands for other bytes"):
        store.append(new_record("e2", pack_text=b"edited"), b"edited")

    assert store.pack("tests-2026-r1").text == PACK_TEXT


def test_a_pack_kept_under_another_id_is_refused(store: RecordStore) -> None:
    store.append(new_record("e1"), PACK_TEXT)

    with pytest.raises(RecordBroken, match="kept under another pack_id"):
        store.append(new_record("e2", pack_id="renamed-2026-r1"), PACK_TEXT)


def test_a_refused_record_leaves_no_pack_behind(store: RecordStore) -> None:
    store.append(new_record("e1"), PACK_TEXT)
    with pytest.raises(RecordBroken):
        store.append(new_record("e1", pack_id="new-2026-r1", pack_text=b"new"), b"new")

    with pytest.raises(UnknownName):
        store.pack("new-2026-r1")


def test_a_check_leaves_no_row(store: RecordStore) -> None:
    store.check()

    assert store.append(new_record("e1"), PACK_TEXT).counter == 1


def test_closing_keeps_everything_handed_over(store: RecordStore) -> None:
    async def hand_over_and_close() -> list[Record]:
        waiting = [asyncio.ensure_future(store.append_soon(new_record(f"e{n}"), PACK_TEXT)) for n in range(50)]
        await asyncio.sleep(0)  # lets each hand its record over, none be answered
        store.close()
        return await asyncio.gather(*waiting)

    assert len(asyncio.run(hand_over_and_close())) == 50


def test_a_closed_store_keeps_nothing_more(store: RecordStore) -> None:
    store.close()

    with pytest.raises(RecordBroken, match="closed"):
        store.append(new_record("e1"), PACK_TEXT)


def test_a_closed_store_is_not_ready(store: RecordStore) -> None:
    store.close()

    with pytest.raises(RecordBroken, match="closed"):
        store.check()


def test_a_waiter_who_leaves_holds_up_nobody(store: RecordStore) -> None:
    async def leave_one() -> Record:
        leaving = asyncio.ensure_future(store.append_soon(new_record("left"), PACK_TEXT))
        staying = asyncio.ensure_future(store.append_soon(new_record("stays"), PACK_TEXT))
        await asyncio.sleep(0)
        leaving.cancel()
        return await staying

    assert asyncio.run(leave_one()) == store.get("local", "stays")


@given(st.lists(st.tuples(st.sampled_from(["a", "b"]), st.integers(0, 8), st.binary(max_size=40)), max_size=20))
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_tenants_records_are_those_accepted_in_order(store: RecordStore, handed_over: list[tuple[str, int, bytes]]) -> None:
    run = uuid4().hex  # one store serves all examples: each has tenants and ids of its own
    accepted: dict[str, list[Record]] = {f"{run}-a": [], f"{run}-b": []}
    taken: set[int] = set()

    for tenant, number, content in handed_over:
        record = new_record(f"{run}-{number}", f"{run}-{tenant}", input_bytes=content, evaluation_bytes=content)
        with pytest.raises(RecordBroken) if number in taken else nullcontext():
            store.append(record, PACK_TEXT)
            accepted[record.tenant].append(record.numbered(len(accepted[record.tenant]) + 1))
        taken.add(number)

    assert {tenant: list(store.page(tenant, None, 100)) for tenant in accepted} == accepted


async def _append_all(store: RecordStore, records: list[NewRecord]) -> list[Record | BaseException]:
    return await asyncio.gather(*(store.append_soon(record, PACK_TEXT) for record in records), return_exceptions=True)

"""A request that is sent again is answered as it was at first, whatever database is behind it."""

import asyncio
from contextlib import suppress

import pytest
from tests.audit.builders import PACK_TEXT, digest, new_record

from bondwright.audit.record import Once, Record, RecordStore
from bondwright.errors import RecordBroken, SentBefore

SAME, OTHER = digest(b"a request"), digest(b"another request")


def test_the_same_request_gives_the_first_record_again(store: RecordStore) -> None:
    first = store.append(new_record("e1"), PACK_TEXT, Once("k", SAME))

    again = store.append(new_record("e2"), PACK_TEXT, Once("k", SAME))

    assert (again, store.page("local", None, 10)) == (first, (first,))


def test_another_request_under_the_same_key_is_refused_and_keeps_nothing(store: RecordStore) -> None:
    first = store.append(new_record("e1"), PACK_TEXT, Once("k", SAME))

    with pytest.raises(SentBefore):
        store.append(new_record("e2"), PACK_TEXT, Once("k", OTHER))

    assert store.page("local", None, 10) == (first,)


def test_each_tenant_has_keys_of_its_own(store: RecordStore) -> None:
    ours = store.append(new_record("e1", tenant="ours"), PACK_TEXT, Once("k", SAME))
    theirs = store.append(new_record("e2", tenant="theirs"), PACK_TEXT, Once("k", OTHER))

    assert (ours.evaluation_id, theirs.evaluation_id) == ("e1", "e2")
    assert (store.answered("ours", Once("k", SAME)), store.answered("theirs", Once("k", OTHER))) == (ours, theirs)


def test_of_requests_that_come_at_once_one_is_recorded_and_all_are_answered_alike(store: RecordStore) -> None:
    outcomes = asyncio.run(_append_all(store, [(f"e{n}", SAME) for n in range(20)]))

    assert {outcome.evaluation_id for outcome in outcomes if isinstance(outcome, Record)} == {outcomes[0].evaluation_id}  # type: ignore[union-attr]
    assert len(store.page("local", None, 30)) == 1


def test_of_different_requests_that_come_at_once_one_wins(store: RecordStore) -> None:
    outcomes = asyncio.run(_append_all(store, [(f"e{n}", digest(bytes([n]))) for n in range(10)]))

    assert sorted(type(outcome).__name__ for outcome in outcomes) == ["Record"] + ["SentBefore"] * 9
    assert len(store.page("local", None, 30)) == 1


def test_a_key_whose_record_was_refused_may_be_used_again(store: RecordStore) -> None:
    with pytest.raises(RecordBroken):
        store.append(new_record("e1", salt=bytes(3)), PACK_TEXT, Once("k", OTHER))

    kept = store.append(new_record("e1"), PACK_TEXT, Once("k", SAME))

    assert store.answered("local", Once("k", SAME)) == kept


def test_a_request_that_never_came_has_no_answer(store: RecordStore) -> None:
    store.append(new_record("e1"), PACK_TEXT, Once("k", SAME))

    assert store.answered("local", Once("other", SAME)) is None


def test_an_answer_to_another_request_is_not_given(store: RecordStore) -> None:
    store.append(new_record("e1"), PACK_TEXT, Once("k", SAME))

    with pytest.raises(SentBefore):
        store.answered("local", Once("k", OTHER))


def test_a_pack_is_kept_although_the_first_record_that_cites_it_was_one_sent_again(store: RecordStore) -> None:
    store.append(new_record("e1"), PACK_TEXT, Once("k", SAME))
    with suppress(SentBefore):
        store.append(new_record("e2", pack_id="new-r1", pack_text=b"new"), b"new", Once("k", OTHER))

    store.append(new_record("e3", pack_id="new-r1", pack_text=b"new"), b"new")

    assert store.pack("new-r1").text == b"new"


async def _append_all(store: RecordStore, requests: list[tuple[str, str]]) -> list[Record | BaseException]:
    appends = (store.append_soon(new_record(evaluation_id), PACK_TEXT, Once("k", asked)) for evaluation_id, asked in requests)
    return await asyncio.gather(*appends, return_exceptions=True)

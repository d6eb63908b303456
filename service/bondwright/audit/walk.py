"""All records of a tenant in the order of their counters, page by page, with those that cannot be read."""

from collections.abc import Iterator, Mapping

from msgspec import Struct

from bondwright.audit.record import Record, RecordStore, Search, Summary
from bondwright.errors import RecordBroken

PAGE = 100
"""Records that a walk has in hand at once: some 4 MB."""


class Unreadable(Struct, frozen=True):
    """A record that cannot be trusted, or is not there, and `why`; of several in a row that are not there, the last.

    `evaluation_id`: by its summary; empty, if it has none.
    """

    counter: int
    evaluation_id: str
    why: str


def walked(store: RecordStore, tenant: str, after: int = 0) -> Iterator[Record | Unreadable]:
    """Every record with a counter above `after`, rising; counters without a gap are promised, so what is missing is met too.

    Raises: RecordBroken, if the store cannot be read.
    """
    while page := _page(store, tenant, after):
        yield from page
        after = page[-1].counter


def last_counter(store: RecordStore, tenant: str) -> int:
    """The counter of the last record that can be found, 0 if there is none; no record is read. Raises: RecordBroken."""
    low, high = 0, 1
    while store.find(tenant, Search(), high - 1, 1):
        low, high = high, high * 2
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if store.find(tenant, Search(), middle - 1, 1) else (low, middle)
    return low


def _page(store: RecordStore, tenant: str, after: int) -> list[Record | Unreadable]:
    # In this order: each summary that is found has been kept with its record, which therefore must be there by now.
    summaries = {summary.counter: summary for summary in store.find(tenant, Search(), after, PAGE)}
    try:
        read: list[Record | Unreadable] = list(store.page(tenant, after, PAGE))
    except RecordBroken:
        read = list(_one_by_one(store, tenant, after, summaries))
    page: list[Record | Unreadable] = []
    for one in read:
        page += _missing(after, one.counter - 1, summaries)
        page.append(one)
        after = one.counter
    return page or [*_missing(after, min(summaries, default=after), summaries)]


def _one_by_one(store: RecordStore, tenant: str, after: int, summaries: Mapping[int, Summary]) -> Iterator[Record | Unreadable]:
    last = after + PAGE
    while after < last:
        try:
            found = store.page(tenant, after, 1)
        except RecordBroken as error:
            yield _unreadable(after + 1, summaries, str(error))
            after += 1
            continue
        if not found:
            return
        yield found[0]
        after = found[0].counter


def _missing(after: int, last: int, summaries: Mapping[int, Summary]) -> list[Unreadable]:
    if last <= after:
        return []
    counters = f"the counter {last}" if last == after + 1 else f"a counter from {after + 1} to {last}"
    return [_unreadable(last, summaries, f"no record has {counters}")]


def _unreadable(counter: int, summaries: Mapping[int, Summary], why: str) -> Unreadable:
    summary = summaries.get(counter)
    return Unreadable(counter, summary.evaluation_id if summary else "", why)

"""Writers of one PostgreSQL database take turns, and whoever waited for its turn writes all that came meanwhile in one transaction."""

import asyncio
from collections.abc import Iterator

import psycopg
import pytest
from tests.audit.builders import PACK_TEXT, new_record

from bondwright.audit.postgresql.batches import ONE_WRITER
from bondwright.audit.postgresql.store import PostgresqlRecordStore
from bondwright.audit.record import NewRecord, Record
from bondwright.errors import RecordBroken

_ONE_WAITS = (
    "SELECT FROM pg_locks WHERE locktype = 'advisory' AND NOT granted AND database = (SELECT oid FROM pg_database WHERE datname = %s)"
)


@pytest.fixture
def store(database: str) -> Iterator[PostgresqlRecordStore]:
    """An empty one."""
    opened = PostgresqlRecordStore(database)
    yield opened
    opened.close()


@pytest.fixture
def another(database: str) -> Iterator[psycopg.Connection]:
    """Another writer, whose turn it is."""
    with psycopg.connect(database) as connection:
        connection.execute(ONE_WRITER)
        yield connection


async def _handed_over(
    store: PostgresqlRecordStore, another: psycopg.Connection, first: NewRecord, then: list[NewRecord]
) -> list[Record | BaseException]:
    """What becomes of a first record, which waits for its turn, and of some that came before it had it."""
    appending = [asyncio.create_task(store.append_soon(first, PACK_TEXT))]
    while another.execute(_ONE_WAITS, (another.info.dbname,)).fetchone() is None:
        await asyncio.sleep(0)
    appending += [asyncio.create_task(store.append_soon(record, PACK_TEXT)) for record in then]
    await asyncio.sleep(0)
    another.commit()
    return await asyncio.gather(*appending, return_exceptions=True)


def test_all_that_came_while_another_wrote_is_written_in_one_transaction(store: PostgresqlRecordStore, another: psycopg.Connection) -> None:
    first, *then = (new_record(f"e{n}", tenant=f"t{n % 2}") for n in range(8))

    kept = asyncio.run(_handed_over(store, another, first, then))

    assert [(one.evaluation_id, one.counter) for one in kept if isinstance(one, Record)] == [(f"e{n}", n // 2 + 1) for n in range(8)]
    assert (store.writing.commits, store.writing.answered, store.writing.waiting) == (1, 8, 0)
    assert [store.get(f"t{n % 2}", f"e{n}") for n in range(8)] == kept


def test_an_unfit_one_that_came_meanwhile_is_refused_alone(store: PostgresqlRecordStore, another: psycopg.Connection) -> None:
    unfit = new_record("e1", evaluation_digest="0" * 64)

    kept, refused, other = asyncio.run(_handed_over(store, another, new_record("e0"), [unfit, new_record("e2")]))

    assert isinstance(refused, RecordBroken)
    assert [store.get("local", name) for name in ("e0", "e2")] == [kept, other]
    assert list(store.page("local", None, 10)) == [kept, other]

"""Stores made unsafe, for the controls that must lose."""

from bondwright.audit.postgresql.store import PostgresqlRecordStore


def wait_for_no_disk(store: PostgresqlRecordStore) -> PostgresqlRecordStore:
    """The same store, whose commits are answered before they are on the disk, until it opens another connection."""
    store._batches._connection.execute("SET synchronous_commit = off")
    return store

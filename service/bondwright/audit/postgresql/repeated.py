"""The requests that were answered before."""

from collections.abc import Sequence

from bondwright.audit.postgresql.connection import Connection
from bondwright.audit.record import Once, Record
from bondwright.audit.rows.records import SELECT, record_of
from bondwright.errors import SentBefore

_BEFORE = "SELECT idempotency_key, request_digest, counter FROM repeated_request WHERE tenant = %s AND idempotency_key = ANY(%s)"


def answered(connection: Connection, tenant: str, requests: Sequence[Once]) -> dict[str, Record]:
    """The records that the tenant kept for these requests, by idempotency key. Raises: SentBefore, RecordBroken; psycopg.Error."""
    asked = {once.idempotency_key: once.request_digest for once in requests}
    found = connection.execute(_BEFORE, (tenant, list(asked))).fetchall() if asked else []
    if any(asked[key] != digest for key, digest, _ in found):
        raise SentBefore("this idempotency key came before with another request")
    rows = [
        (key, connection.execute(f"{SELECT} WHERE tenant = %s AND counter = %s", (tenant, counter)).fetchone()) for key, _, counter in found
    ]
    return {key: record_of(row) for key, row in rows if row is not None}

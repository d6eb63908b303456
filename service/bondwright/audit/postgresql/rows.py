"""Records as rows of the table, both ways, and the requests that were answered before."""

import json
from collections.abc import Sequence
from dataclasses import fields
from typing import Any

from bondwright.audit.postgresql.connection import Connection
from bondwright.audit.record import Once, Record, demand_digest
from bondwright.errors import RecordBroken, SentBefore

COLUMNS = tuple(field.name for field in fields(Record))
SELECT = f"SELECT {', '.join(COLUMNS)} FROM record"

_BEFORE = "SELECT idempotency_key, request_digest, counter FROM repeated_request WHERE tenant = %s AND idempotency_key = ANY(%s)"


def row_of(record: Record) -> tuple[object, ...]:
    """The values of a record, in the order of COLUMNS."""
    values = {name: getattr(record, name) for name in COLUMNS}
    values["versions"] = json.dumps(dict(record.versions), sort_keys=True)
    return tuple(values.values())


def record_of(row: Sequence[Any]) -> Record:
    """The record of a row. Raises: RecordBroken, if its bytes do not hash to its digest."""
    values = dict(zip(COLUMNS, row, strict=True))
    evaluation = f"evaluation {values['evaluation_id']}"
    try:
        record = Record(**(values | {"versions": json.loads(values["versions"])}))
    except ValueError as error:
        raise RecordBroken(f"{evaluation}: its versions are not JSON") from error
    demand_digest(evaluation, record.evaluation_bytes, record.evaluation_digest)
    return record


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

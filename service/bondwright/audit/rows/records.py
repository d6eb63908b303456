"""Records as rows of a table, both ways, alike in every database."""

import json
from collections.abc import Sequence
from dataclasses import fields
from typing import Any

from bondwright.audit.record import PackRecord, Record, demand_digest
from bondwright.audit.rows.packing import unpacked
from bondwright.errors import RecordBroken, UnknownName

COLUMNS = tuple(field.name for field in fields(Record))
"""What is kept of a record, in the order of its rows."""

SELECT = f"SELECT {', '.join(COLUMNS)} FROM record"
SELECT_PACK = "SELECT pack_id, digest, text, first_used_at FROM pack"


def row_of(record: Record, answer_kept: bytes) -> tuple[object, ...]:
    """The values of a record, in the order of COLUMNS, its answer as it is kept."""
    values = {name: getattr(record, name) for name in COLUMNS}
    values["evaluation_bytes"] = answer_kept
    values["versions"] = json.dumps(dict(record.versions), sort_keys=True)
    return tuple(values.values())


def record_of(row: Sequence[Any]) -> Record:
    """The record of a row. Raises: RecordBroken, if its bytes do not hash to its digest."""
    values = dict(zip(COLUMNS, row, strict=True))
    evaluation = f"evaluation {values['evaluation_id']}"
    values["evaluation_bytes"] = unpacked(evaluation, values["evaluation_bytes"])
    try:
        record = Record(**(values | {"versions": json.loads(values["versions"])}))
    except ValueError as error:
        raise RecordBroken(f"{evaluation}: its versions are not JSON") from error
    demand_digest(evaluation, record.evaluation_bytes, record.evaluation_digest)
    return record


def pack_of(rows: Sequence[Sequence[Any]], name: str) -> PackRecord:
    """The pack of the rows found for a name. Raises: UnknownName, if there is none; RecordBroken, if its text is not of its digest."""
    if not rows:
        raise UnknownName("rule pack", name)
    pack = PackRecord(*rows[0])
    demand_digest(f"rule pack {pack.pack_id}", pack.text, pack.digest)
    return pack

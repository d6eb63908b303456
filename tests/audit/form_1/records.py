"""The records of form 1, as they are kept beside this module; `write_records.py` tells what they are."""

import lzma
import sqlite3
from contextlib import closing
from pathlib import Path

from bondwright.audit.record import Record
from bondwright.audit.rows.records import SELECT, record_of

_HERE = Path(__file__).parent

HERON, TERN = "heron", "tern"
"""The two tenants; one has six records, the other three."""


def record_file(folder: Path) -> Path:
    """The record file, as the service left it, under the name by which it is opened in `folder`."""
    file = folder / "record.sqlite"
    file.write_bytes(lzma.decompress((_HERE / "records.sqlite.xz").read_bytes()))
    return file


def exported() -> list[bytes]:
    """The lines that were exported of `TERN`'s records."""
    return lzma.decompress((_HERE / "tern.jsonl.xz").read_bytes()).splitlines(keepends=True)


def kept_in(file: Path, *tenants: str) -> tuple[Record, ...]:
    """The tenants' records, read from the file by its rows alone."""
    with closing(sqlite3.connect(file)) as connection:
        select = f"{SELECT} WHERE tenant = ? ORDER BY counter"
        return tuple(record_of(row) for tenant in tenants for row in connection.execute(select, (tenant,)))

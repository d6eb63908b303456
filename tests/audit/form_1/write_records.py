"""Wrote the records of form 1 that stand beside it, when the service still answered in that form: commit 2c18b64.

Run with a later service it writes another form; it is kept to tell what the records are. From the root of that commit:
`PYTHONPATH=. uv run python tests/audit/form_1/write_records.py FOLDER` makes `records.sqlite.xz`, the file as the service left it, and
`tern.jsonl.xz`, what `bondwright export --tenant tern` wrote of one of its tenants.
"""

import asyncio
import lzma
import sqlite3
import sys
from collections.abc import Iterator, Mapping
from contextlib import closing
from datetime import UTC, datetime, timedelta
from itertools import count
from json import dumps
from pathlib import Path
from typing import Any

from bondwright.assembly import Bondwright
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.engine.channels import TwoChannels
from bondwright.rulebook.memory import Kept
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import published_packs

HERON, TERN = "heron", "tern"
"""Two tenants."""

INSPECTED = {"kind": "inspection", "inspected_on": "2026-11-25"}
SUPPLY = {"earthing_system": "TN-C-S", "pme_conditions": "apply", "neutral": {"size": 25, "material": "copper"}}
WATER = {
    "id": "water",
    "kind": "water",
    "comes_from": "ground",
    "joined_to": [],
    "meter": {"position": "outside"},
    "enters_as": "copper",
    "insulating_section": "none",
    "joined_by": "compression",
    "inside": "copper",
    "hidden": "no",
    "protective_conductor": "no",
    "bonds": [],
}
GAS = {"id": "gas", "kind": "gas", "comes_from": "ground", "enters_as": "steel", "inside": "copper", "hidden": "no"}
UNMEASURED = {
    "connected_to": "main_earthing_terminal",
    "size": 10,
    "material": "copper",
    "length_m": 8,
    "joint": "sound",
    "on": "entering_pipe",
}
MEASURED = UNMEASURED | {
    "continuity": "0.04 ohm",
    "continuity_parted": "yes",
    "accessible": "yes",
    "labelled": "yes",
    "before_first_branch": "yes",
    "closer_place_practicable": "no",
}
CIRCUIT = {
    "measure": "automatic_disconnection",
    "disconnection_met": "yes",
    "rcd": "none",
    "rcd_tested": "yes",
    "device": {"type": "B", "rated_a": 32},
    "cpc": 2.5,
}
BATHROOM = {
    "id": "bathroom",
    "kind": "bath_or_shower",
    "services": [{"kind": "water", "accessible": "yes"}],
    "items": [{"kind": "towel_rail", "fed_by": "plastic", "touches": "nothing_earthy", "accessible": "yes"}],
    "circuits": [CIRCUIT],
    "bonding_protected": "yes",
}
LOW_READING = {
    "on": "inside_pipe",
    "reading": "0.4 ohm",
    "to": "earthing_conductor",
    "own_bond": "none",
    "protective_conductors": "on",
    "pipe_filled": "yes",
    "surroundings_wet": "yes",
}
FEEDER = {"comes_from": "another_building", "earth": "carried_over", "protective_conductors": [{"size": 48, "material": "steel"}]}

HOUSE = {"reference": "Osier Lane 4", "work": INSPECTED, "supply": SUPPLY, "services": [WATER, GAS | {"bonds": [MEASURED]}]}

SENT: tuple[tuple[str, Mapping[str, Any]], ...] = (
    (HERON, HOUSE),
    (HERON, HOUSE | {"reference": "Osier Lane 6", "services": [WATER | {"bonds": [UNMEASURED]}, GAS], "locations": [BATHROOM]}),
    (HERON, HOUSE | {"reference": "Osier Lane 4, barn", "premises": "outbuilding", "supply": SUPPLY | {"feeder": FEEDER}}),
    (HERON, {"reference": "Osier Lane 8", "work": {"kind": "alteration", "designed_on": "2026-06-01"}, "services": [GAS]}),
    (HERON, HOUSE | {"rule_pack": "bs7671-2018-a4-r1"}),
    (HERON, {"work": INSPECTED}),
    (TERN, {"reference": "Fen Road 2", "work": {"kind": "new_installation", "designed_on": "2019-06-01"}, "services": [WATER, GAS]}),
    (
        TERN,
        {
            "reference": "Fen Road 2",
            "work": INSPECTED,
            "services": [
                WATER | {"enters_as": "plastic", "hidden": "yes", "hidden_in": "soil", "hidden_as": "copper", "measurements": [LOW_READING]}
            ],
        },
    ),
    (TERN, {"reference": "Fen Road 9", "work": INSPECTED, "rule_pack": "iec60364-2017-r2", "services": [GAS], "locations": [BATHROOM]}),
)
"""Whose each description is, in the order in which they were sent, a minute after each other."""


def clock() -> Iterator[datetime]:
    """A minute later each time."""
    return (datetime(2026, 11, 25, 9, 30, tzinfo=UTC) + timedelta(minutes=minutes) for minutes in count())


def write(folder: Path) -> None:
    """Writes both files."""
    file = folder / "records.sqlite"
    times, numbers, salts = clock(), count(1), count(1)
    bondwright = Bondwright(
        published_packs(rules_folder()),
        lambda: SqliteRecordStore(file),
        lambda pack: TwoChannels(pack, Kept()),
        versions={"service": "0.1.0", "durable-rules": "2.0.28"},
        clock=lambda: next(times),
        new_id=lambda: f"019abd5e-0000-7000-8000-{next(numbers):012}",
        new_salt=lambda: next(salts).to_bytes(16, "big"),
    )
    with closing(bondwright):
        for number, (tenant, description) in enumerate(SENT, start=1):
            asyncio.run(bondwright.submit(dumps(description).encode(), tenant, f"request {number}" if tenant == TERN else None))
        (folder / "tern.jsonl.xz").write_bytes(lzma.compress(b"".join(bondwright.exported(TERN)), preset=9 | lzma.PRESET_EXTREME))
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    (folder / "records.sqlite.xz").write_bytes(lzma.compress(file.read_bytes(), preset=9 | lzma.PRESET_EXTREME))
    file.unlink()


if __name__ == "__main__":
    write(Path(sys.argv[1]))

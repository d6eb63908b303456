"""The service as the tests of the API start it, and what they send to it."""

import json
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from bondwright.assembly import Bondwright, Keyring
from bondwright.assembly.sharing.apart import Apart
from bondwright.audit.sqlite.keys import SqliteKeyStore
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.engine.channels import TwoChannels
from bondwright.engine.durable import DurableChannel
from bondwright.engine.group import BuildChannel
from bondwright.rulebook.memory import Kept, Memory
from bondwright.rulebook.pack import PackHead
from bondwright.rulebook.withdrawal import Withdrawal
from bondwright.settings import USUAL_LIMITS, Limits

JSON = {"content-type": "application/json"}
WORK = {"kind": "inspection", "inspected_on": "2026-11-25"}
EVALUATIONS = "/v1/evaluations"


def described(**parts: Any) -> bytes:
    """A description as bytes, its work filled in."""
    return json.dumps({"work": WORK, **parts}).encode()


HOUSE = described(
    reference="Sandpiper Row 3",
    supply={"earthing_system": "TN-C-S", "pme_conditions": "apply", "neutral": {"size": 25, "material": "copper"}},
    services=[
        {"kind": "water", "comes_from": "ground", "enters_as": "plastic", "inside": "copper", "hidden": "no"},
        {"kind": "gas", "comes_from": "ground", "enters_as": "steel", "inside": "copper", "hidden": "no"},
    ],
)
"""An everyday house: plastic water, steel gas."""


def evaluation_in(body: bytes) -> bytes:
    """The bytes of the evaluation inside an envelope."""
    return body[body.index(b'"evaluation":') + len(b'"evaluation":') : -1]


def service(
    packs: Sequence[PackHead],
    record_file: Path,
    build_channel: BuildChannel = DurableChannel,
    withdrawn: Sequence[Withdrawal] = (),
    limits: Limits = USUAL_LIMITS,
    apart: Apart | None = None,
    memory: Memory | None = None,
) -> Bondwright:
    """The service over a record file of its own, its clock standing still; `withdrawn`: what is withdrawn of the packs.

    `memory`: what keeps conclusions by the digests of packs, so a pack that was changed under its digest needs another.
    """
    return Bondwright(
        packs,
        lambda: SqliteRecordStore(record_file),
        lambda pack: TwoChannels(pack, Kept(), build_channel=build_channel),
        versions={"service": "0.1.0"},
        memory=memory,
        withdrawn={one.pack_id: one for one in withdrawn},
        limits=limits,
        apart=apart,
        clock=lambda: datetime(2026, 11, 25, 9, 30, tzinfo=UTC),
    )


OURS, THEIRS = "ours", "theirs"
"""Two tenants."""


def keyring(record_file: Path, clock: Callable[[], datetime] = lambda: datetime(2026, 11, 25, 9, 30, tzinfo=UTC)) -> Keyring:
    """The keys beside the records in that file."""
    return Keyring(lambda: SqliteKeyStore(record_file), clock=clock)


def bearer(key: str) -> dict[str, str]:
    """The header that shows a key."""
    return {"Authorization": f"Bearer {key}"}

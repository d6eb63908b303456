"""Names every real part once."""

from collections.abc import Callable, Collection, Mapping
from functools import partial
from importlib.metadata import version
from typing import TypeAlias

from msgspec import Struct

from bondwright.assembly.bondwright import Bondwright
from bondwright.assembly.judging import Judge
from bondwright.assembly.keyring import Keyring
from bondwright.assembly.sharing.apart import Apart, Ways
from bondwright.audit.keys import KeyStore
from bondwright.audit.record import RecordStore
from bondwright.audit.sqlite import owner as file_owner
from bondwright.audit.sqlite.evidence import SqliteEvidence, SqliteKeysToRead
from bondwright.audit.sqlite.keys import SqliteKeyStore
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.collecting import look_seldom
from bondwright.engine.channels import TwoChannels
from bondwright.engine.memory import BoundedMemory
from bondwright.rulebook.pack import PackHead, RulePack
from bondwright.rulebook.withdrawal import Withdrawal
from bondwright.settings import Settings
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import on_shelf
from bondwright.shelf.withdrawn import withdrawn_packs

HANG_LIMIT_S = 5.0
"""An engine call that takes longer ends the process; a usual one takes some 0.001 s."""

MOST_REMEMBERED = 50_000
"""Answers that the whole service remembers: of what rules act, at most 45 MB (2026-11-29, 15 rules in the stage, all answers different)."""

MOST_ANSWERS = 1_024
"""Keys of whole answers that the service remembers, two for each: at most 67 MB as `answers` bounds each, some 25 MB of everyday ones."""
HANG_LIMIT_APART_S, MOST_REMEMBERED_APART = 30.0, 10_000
"""The same of the process that is asked for what costs much: it gives way to all others, and few of its descriptions are alike."""

Openings: TypeAlias = tuple[Callable[[], RecordStore], Callable[[], KeyStore], Callable[[], RecordStore], Callable[[], KeyStore]]


class Database(Struct, frozen=True):
    """Where records are kept, and what is done there; every call raises RecordBroken.

    `where`: in words, with no password. `is_file`: a SQLite file, which the service lays out itself. `open_store`, `open_keys`: records
    and keys, as the service opens them; `store_to_read`, `keys_to_read`: to be read only, nothing made or changed. `step`: where the
    layout stands; none, before the first step. `take`: brings it to a step, `base` for nothing at all, and gives from where to where.
    """

    where: str
    is_file: bool
    open_store: Callable[[], RecordStore]
    open_keys: Callable[[], KeyStore]
    store_to_read: Callable[[], RecordStore]
    keys_to_read: Callable[[], KeyStore]
    step: Callable[[], str | None]
    take: Callable[[str], tuple[str | None, str | None]]


def build(settings: Settings, candidate: RulePack | None = None, *, to_read: bool = False) -> Bondwright:
    """The real thing: published packs, `candidate` as if it were one, both channels, the record there, `to_read` only if that is asked for.

    Raises: UnreadableRules.
    """
    look_seldom()
    shelf = on_shelf(rules_folder())
    memory, withdrawn = BoundedMemory(MOST_REMEMBERED), withdrawn_packs(rules_folder(), shelf)
    packs: list[PackHead] = [pack for pack in shelf if not candidate or pack.pack_id != candidate.pack_id]
    return Bondwright(
        [*packs, candidate] if candidate else packs,
        lambda: database(settings).store_to_read() if to_read else database(settings).open_store(),
        lambda pack: TwoChannels(pack, memory, hang_limit_s=HANG_LIMIT_S),
        versions=versions(),
        withdrawn=withdrawn,
        memory=memory,
        answers=BoundedMemory(MOST_ANSWERS),
        limits=settings.limits,
        apart=None if candidate else Apart(Ways(tuple(pack.digest for pack in shelf), tuple(withdrawn.values()), versions())),
    )


def build_judge(digests: Collection[str], withdrawn: Mapping[str, Withdrawal]) -> Judge:
    """What judges by those of the published packs, in the process that is asked for what costs much. Raises: UnreadableRules."""
    memory = BoundedMemory(MOST_REMEMBERED_APART)
    packs = [pack for pack in on_shelf(rules_folder()) if pack.digest in digests]
    return Judge(packs, lambda pack: TwoChannels(pack, memory, hang_limit_s=HANG_LIMIT_APART_S), withdrawn, memory)


def versions() -> dict[str, str]:
    """What answers, by name."""
    return {"service": version("bondwright"), "durable-rules": version("durable-rules")}


def build_keyring(settings: Settings, *, to_read: bool = False) -> Keyring:
    """The keys that stand beside the records, `to_read` only if that is asked for."""
    return Keyring(lambda: database(settings).keys_to_read() if to_read else database(settings).open_keys())


def database(settings: Settings) -> Database:
    """Where the settings want records kept. Raises: RecordBroken, if the address of a database cannot be read."""
    if settings.database:
        # Loaded here only: whoever keeps records in a file has no use for the driver.
        from bondwright.audit.postgresql import owner
        from bondwright.audit.postgresql.connection import place_of
        from bondwright.audit.postgresql.keys import PostgresqlKeyStore
        from bondwright.audit.postgresql.reader import PostgresqlEvidence
        from bondwright.audit.postgresql.store import PostgresqlRecordStore

        address = settings.database
        keys = partial(PostgresqlKeyStore, address)
        stores: Openings = (partial(PostgresqlRecordStore, address), keys, partial(PostgresqlEvidence, address), keys)
        return Database(place_of(address), False, *stores, partial(owner.step_of, address), partial(owner.take, address))
    file = settings.data_folder / "record.sqlite"
    stores = (
        partial(SqliteRecordStore, file),
        partial(SqliteKeyStore, file),
        partial(SqliteEvidence, file),
        partial(SqliteKeysToRead, file),
    )
    return Database(str(file), True, *stores, partial(file_owner.step_of, file), partial(file_owner.take, file))

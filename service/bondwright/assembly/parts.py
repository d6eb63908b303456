"""Names every real part once."""

from importlib.metadata import version

from bondwright.assembly.bondwright import Bondwright
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.engine.channels import TwoChannels
from bondwright.rulebook.pack import RulePack
from bondwright.settings import Settings
from bondwright.shelf.packs import published_packs, rules_folder

HANG_LIMIT_S = 5.0
"""An engine call that takes longer ends the process; a usual one takes some 0.001 s."""


def build(settings: Settings, candidate: RulePack | None = None) -> Bondwright:
    """The real thing: published packs, `candidate` as if it were one, both channels, the record there. Raises: UnreadableRules."""
    packs = [pack for pack in published_packs(rules_folder()) if not candidate or pack.pack_id != candidate.pack_id]
    return Bondwright(
        [*packs, candidate] if candidate else packs,
        lambda: SqliteRecordStore(settings.data_folder / "record.sqlite"),
        lambda pack: TwoChannels(pack, hang_limit_s=HANG_LIMIT_S),
        versions={"service": version("bondwright"), "durable-rules": version("durable-rules")},
    )

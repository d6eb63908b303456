"""What is made before the service is ready: the first caller waits for no engine."""

from datetime import UTC, datetime
from pathlib import Path

from tests.api.builders import HOUSE

from bondwright.assembly import Bondwright
from bondwright.audit.sqlite.store import SqliteRecordStore
from bondwright.engine.channels import TwoChannels
from bondwright.engine.compiled import Compiled
from bondwright.engine.durable import DurableChannel
from bondwright.rulebook.memory import Kept
from bondwright.rulebook.pack import PackHead, RulePack


def test_a_first_evaluation_builds_no_engine(packs: tuple[PackHead, ...], tmp_path: Path) -> None:
    built: list[Compiled] = []

    def noted(rules: Compiled) -> DurableChannel:
        built.append(rules)
        return DurableChannel(rules)

    def channels(pack: RulePack) -> TwoChannels:
        return TwoChannels(pack, Kept(), build_channel=noted)

    day = datetime(2026, 11, 25, tzinfo=UTC)
    bondwright = Bondwright(
        packs, lambda: SqliteRecordStore(tmp_path / "record.sqlite"), channels, versions={"service": "1"}, clock=lambda: day
    )
    bondwright.ready()
    before = len(built)

    bondwright.evaluate(HOUSE)

    bondwright.close()
    assert before > 0
    assert len(built) == before

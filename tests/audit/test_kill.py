"""What is acknowledged is kept through a kill of several processes that share the file, with eight threads each.

The control answers before it appends, and must lose.
"""

import subprocess
from contextlib import ExitStack
from pathlib import Path

from tests.forked import Forked

from bondwright.audit.sqlite.store import SqliteRecordStore

APPENDER = Path(__file__).with_name("append_and_acknowledge.py")
ENOUGH = "1000000"
PROCESSES, ROUNDS, LINES = 3, 3, 40


def test_nothing_acknowledged_is_lost_when_several_processes_are_killed_at_work(tmp_path: Path) -> None:
    acknowledged, kept = _killed_at_work(tmp_path / "records.sqlite", "after")

    assert len(acknowledged) >= PROCESSES * ROUNDS * LINES
    assert acknowledged - set(kept) == set()
    assert list(kept.values()) == list(range(1, len(kept) + 1))


def test_a_store_that_answers_before_it_appends_loses_records_in_a_kill(tmp_path: Path) -> None:
    acknowledged, kept = _killed_at_work(tmp_path / "records.sqlite", "before")

    assert acknowledged - set(kept) != set()


def _killed_at_work(path: Path, when: str) -> tuple[set[str], dict[str, int]]:
    """The ids that were acknowledged, and those that are kept with their counters."""
    acknowledged = {line for _ in range(ROUNDS) for line in _acknowledged_before_a_kill(path, when)}
    store = SqliteRecordStore(path)
    kept = {record.evaluation_id: record.counter for record in store.page("local", None, 1_000_000)}
    store.close()
    return {line for line in acknowledged if not line.startswith("refused: ")}, kept


def _acknowledged_before_a_kill(path: Path, when: str) -> list[str]:
    command: list[str | Path] = [APPENDER, path, "FULL", ENOUGH, when]
    lines: list[bytes] = []
    with ExitStack() as stack:
        children = [stack.enter_context(Forked(command, stdout=subprocess.PIPE)) for _ in range(PROCESSES)]
        outputs = [child.stdout for child in children if child.stdout]
        for output in outputs:
            lines += [output.readline() for _ in range(LINES)]
        for child in children:
            child.kill()
        for output in outputs:
            lines += output.readlines()
    return [line.decode().strip() for line in lines if line.endswith(b"\n")]

"""The process for what costs much: the same bytes as here, and whatever becomes of it, nothing is half done and nothing is left over."""

import asyncio
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import closing, contextmanager
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from tests.api.builders import HOUSE, described, service

from bondwright.assembly.judging import Judge
from bondwright.assembly.parts import build_judge, versions
from bondwright.assembly.sharing.apart import Apart, Ways
from bondwright.assembly.sharing.prices import price_of
from bondwright.assembly.sharing.worked import Worked, error_of, head_of_error, worked
from bondwright.audit.comparing.difference import Replay
from bondwright.calculations.answer import answer_bytes
from bondwright.errors import BondwrightError, CutOff, EngineDisagreement, EngineFault, Refused, TooMuch, UnreadableRules
from bondwright.rulebook.pack import PackHead
from bondwright.rulebook.withdrawal import Withdrawal
from bondwright.settings import USUAL_PRICES, Limits
from bondwright.shelf.packs import load_pack, rules_folder

CASES = sorted((rules_folder() / "bs7671/cases").glob("*.json"))
PATIENCE_S = 60
SLOW = described(
    services=[{"kind": "water"}] * 40, locations=[{"kind": "bath_or_shower", "services": [{"kind": "water"}], "items": []}] * 50
)
"""Takes a second."""


@pytest.fixture(scope="module")
def ways(packs: tuple[PackHead, ...]) -> Ways:
    """By what both judge."""
    return Ways(tuple(pack.digest for pack in packs), (), versions())


@pytest.fixture(scope="module")
def apart(ways: Ways) -> Iterator[Apart]:
    """A process that several tests ask."""
    with closing(Apart(ways)) as made:
        yield made


@pytest.fixture(scope="module")
def here(packs: tuple[PackHead, ...]) -> Iterator[Judge]:
    """What judges in this process."""
    with closing(build_judge([pack.digest for pack in packs], {})) as made:
        yield made


def test_both_processes_give_the_same_of_every_shipped_case(apart: Apart, here: Judge) -> None:
    cases = {path.stem: json.dumps(json.loads(path.read_bytes())["installation"]).encode() for path in CASES}

    differing = [name for name, raw in cases.items() if apart.evaluate(raw) != worked(here.evaluate(raw))]

    assert cases
    assert differing == []


@pytest.mark.parametrize(
    "raw",
    [
        b"{",
        described(services=[{"kind": "tea"}], items=[{"kind": "tap", "count": 0}]),
        described(items=[{"kind": "tap", "id": "a"}] * 2),
        described(items=[{"kind": "tap"}] * 100, locations=[{"items": [{"kind": "tap"}] * 50}] * 7),
    ],
)
def test_both_refuse_in_the_same_words(apart: Apart, here: Judge, raw: bytes) -> None:
    with pytest.raises(Refused) as ours:
        here.evaluate(raw)
    with pytest.raises(Refused) as theirs:
        apart.evaluate(raw)

    assert (type(theirs.value), theirs.value.faults) == (type(ours.value), ours.value.faults)


@pytest.mark.parametrize(
    "error",
    [EngineDisagreement("d", "s", ("a", "b")), UnreadableRules("f", 1, 2, "why"), EngineFault("why")],
    ids=lambda one: type(one).__name__,
)
def test_errors_of_the_service_come_over_whole(error: BondwrightError) -> None:
    again = error_of(json.loads(json.dumps(head_of_error(error))))

    assert (type(again), str(again), vars(again)) == (type(error), str(error), vars(error))


def test_of_an_error_that_nobody_foresaw_only_the_type_is_told() -> None:
    assert head_of_error(KeyError("a caller's words")) == {"raised": "KeyError", "values": []}


def test_want_of_memory_is_told_as_too_much() -> None:
    assert isinstance(error_of(head_of_error(MemoryError())), TooMuch)


def test_a_replay_is_the_same_in_both_also_by_a_pack_that_is_not_published(packs: tuple[PackHead, ...], ways: Ways, tmp_path: Path) -> None:
    changed = load_pack(packs[-1].whole().text.replace(b"title: ", b"title: Another ", 1), f"published/{packs[-1].pack_id}.yaml")

    def replays(known: tuple[PackHead, ...], limits: Limits) -> tuple[list[Replay], int]:
        with closing(Apart(ways)) as apart, closing(service(known, tmp_path / "record.sqlite", limits=limits, apart=apart)) as built:
            records = [built.kept(evaluation_id) for evaluation_id in kept]
            return [asyncio.run(built.replayed(record)) for record in records], apart.started

    with closing(service((*packs[:-1], changed), tmp_path / "record.sqlite")) as first:
        kept = [
            asyncio.run(first.submit(raw)).evaluation_id
            for raw in (HOUSE, described(rule_pack=changed.digest, items=[{"kind": "bath"}] * 30))
        ]

    apart, here = (replays(packs, Limits(apart_above=above)) for above in (0, 1_000))

    assert apart[0] == here[0]
    assert {replay.same_bytes for replay in here[0]} == {"same"}
    assert (apart[1], here[1]) == (1, 0)


@pytest.mark.parametrize(
    ("name", "raw"),
    [
        ("open-pen", json.dumps({"loads": [{"power_w": 1000 + load} for load in range(60)], "source_electrode_ohm": 0}).encode()),
        ("isolation-reading", b'{"measured_ohm": 7000}'),
    ],
)
def test_a_calculation_is_the_same_in_both(apart: Apart, here: Judge, name: str, raw: bytes) -> None:
    answer = here.calculate(name, raw)

    assert apart.calculate(name, raw) == (answer.pack_id, answer_bytes(answer))


def test_both_refuse_a_calculation_in_the_same_words(apart: Apart, here: Judge) -> None:
    with pytest.raises(Refused) as ours:
        here.calculate("open-pen", b'{"loads": []}')
    with pytest.raises(Refused) as theirs:
        apart.calculate("open-pen", b'{"loads": []}')

    assert (type(theirs.value), theirs.value.faults) == (type(ours.value), ours.value.faults)


@contextmanager
def in_the_middle(ways: Ways) -> Iterator[tuple[Apart, int, "Future[Worked]"]]:
    """What asks a process, the process, which works on something, and what will come of it."""
    with closing(Apart(ways)) as apart, ThreadPoolExecutor() as threads:
        apart.evaluate(HOUSE)
        pid = apart.pid
        assert pid
        before, end = worked_ticks(pid), time.monotonic() + PATIENCE_S
        waits = threads.submit(apart.evaluate, SLOW)
        while worked_ticks(pid) < before + 5:
            assert time.monotonic() < end
            time.sleep(0.01)
        yield apart, pid, waits


def worked_ticks(pid: int) -> int:
    """For how long a process has worked, in ticks of 10 ms."""
    return int(Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[11])


def test_killed_in_the_middle_whoever_waits_is_told_and_the_next_is_answered(ways: Ways, here: Judge) -> None:
    with in_the_middle(ways) as (apart, pid, waits):
        os.kill(pid, signal.SIGKILL)
        with pytest.raises(CutOff, match="ended with -9"):
            waits.result(PATIENCE_S)

        assert apart.evaluate(HOUSE) == worked(here.evaluate(HOUSE))
        assert apart.started == 2


def test_killed_while_nobody_waits_nobody_notices(ways: Ways) -> None:
    with closing(Apart(ways)) as apart:
        apart.evaluate(HOUSE)
        pid = apart.pid
        assert pid
        os.kill(pid, signal.SIGKILL)
        while apart.pid is not None:
            time.sleep(0.01)

        assert apart.evaluate(HOUSE).told.content


def test_what_is_meant_for_the_service_does_not_end_it(ways: Ways) -> None:
    with closing(Apart(ways)) as apart:
        apart.evaluate(HOUSE)
        pid = apart.pid
        assert pid
        for number in (signal.SIGINT, signal.SIGTERM):
            os.kill(pid, number)

        apart.evaluate(HOUSE)
        assert (apart.pid, apart.started) == (pid, 1)


def test_closed_in_the_middle_nothing_is_left_over(ways: Ways) -> None:
    with in_the_middle(ways) as (apart, pid, waits):
        apart.close()

        with pytest.raises(CutOff):
            waits.result(PATIENCE_S)
    assert not Path(f"/proc/{pid}").exists()
    with pytest.raises(CutOff, match="closed"):
        apart.evaluate(HOUSE)


PARENT = """
import sys
from bondwright.assembly.sharing.apart import Apart, Ways
from bondwright.assembly.parts import versions
from threading import Thread
apart = Apart(Ways(tuple(sys.argv[2:]), (), versions()))
raw = sys.stdin.buffer.read()
Thread(target=apart.evaluate, args=(raw,), daemon=True).start()
while apart.pid is None: pass
print(apart.pid, flush=True)
import time; time.sleep(60)
"""


def test_it_does_not_outlive_whoever_started_it_even_in_the_middle(ways: Ways) -> None:
    with subprocess.Popen([sys.executable, "-c", PARENT, "", *ways.packs], stdin=subprocess.PIPE, stdout=subprocess.PIPE) as parent:
        assert parent.stdin
        assert parent.stdout
        parent.stdin.write(SLOW)
        parent.stdin.close()
        pid = int(parent.stdout.readline())
        time.sleep(2)  # it works, or still starts
        assert Path(f"/proc/{pid}").exists()
        parent.kill()

    end = time.monotonic() + PATIENCE_S
    while Path(f"/proc/{pid}").exists() and time.monotonic() < end and "Z" not in Path(f"/proc/{pid}/stat").read_text().split()[2]:
        time.sleep(0.05)
    assert time.monotonic() < end


@pytest.mark.parametrize("other", [{"versions": {"service": "0"}}, {"packs": ("0" * 64,)}])
def test_a_process_that_would_judge_otherwise_is_not_used_and_the_service_not_ready(
    ways: Ways, packs: tuple[PackHead, ...], tmp_path: Path, other: dict[str, Any]
) -> None:
    unlike = Ways(other.get("packs", ways.packs), (), other.get("versions", ways.versions))
    with closing(Apart(unlike)) as apart, closing(service(packs, tmp_path / "record.sqlite", apart=apart)) as built:
        built.ready()
        with pytest.raises(CutOff):
            apart.evaluate(HOUSE)

        with pytest.raises(CutOff, match="other packs or another version"):
            built.ready()


def test_where_nothing_can_be_started_whoever_asks_is_told(ways: Ways) -> None:
    with closing(Apart(ways, ("/nonexistent/python",))) as apart, pytest.raises(CutOff, match="could not be started"):
        apart.evaluate(HOUSE)


def test_only_what_costs_more_than_the_limit_goes_there(packs: tuple[PackHead, ...], ways: Ways, tmp_path: Path) -> None:
    large = described(items=[{"kind": "tap"}] * 100)
    price = price_of(large, USUAL_PRICES, lambda _: 1)
    started = []
    for above in (price, price - 1):
        limits = Limits(apart_above=above)
        with closing(Apart(ways)) as apart, closing(service(packs, tmp_path / "record.sqlite", limits=limits, apart=apart)) as built:
            asyncio.run(built.submit(large))
            started.append(apart.started)

    assert started == [0, 1]


def test_what_is_recorded_is_the_same_from_both(packs: tuple[PackHead, ...], ways: Ways, tmp_path: Path) -> None:
    def kept(folder: str, above: int) -> tuple[bytes, Any]:
        file = tmp_path / folder / "record.sqlite"
        with closing(Apart(ways)) as apart, closing(service(packs, file, limits=Limits(apart_above=above), apart=apart)) as built:
            place = asyncio.run(built.submit(HOUSE))
            return built.kept(place.evaluation_id).evaluation_bytes, built.figures().verdicts

    assert kept("here", 1_000) == kept("apart", 0)


def test_why_it_could_not_start_is_logged(ways: Ways, packs: tuple[PackHead, ...], caplog: pytest.LogCaptureFixture) -> None:
    newest = [pack.pack_id for pack in packs if pack.pack_id.startswith("bs7671-2018-a4")][-1]
    none_left = (Withdrawal(newest, "planted", date(2026, 11, 25), "bs7671-2018-r1"),)

    with closing(Apart(Ways(ways.packs, none_left, ways.versions))) as apart, pytest.raises(CutOff):
        apart.evaluate(HOUSE)

    assert "UnreadableRules" in caplog.text

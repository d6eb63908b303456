"""`bondwright serve` and what costs much: evaluated by another process, whatever becomes of that."""

import json
import os
import signal
import subprocess
import time
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager, suppress
from http.client import HTTPException, HTTPResponse
from pathlib import Path
from urllib.error import HTTPError

import pytest
from tests.api.builders import HOUSE, described
from tests.cli.server import PATIENCE_S, ask, connected, post, serving

from bondwright.settings import USUAL_LIMITS

SLOW = described(
    services=[{"kind": "water"}] * 40, locations=[{"kind": "bath_or_shower", "services": [{"kind": "water"}], "items": []}] * 50
)
"""Takes a second."""
LARGE = described(items=[{"kind": "tap"}] * 100)


def children(pid: int) -> list[int]:
    """The processes that a process has started and that are not over."""
    return [int(one) for task in Path(f"/proc/{pid}/task").iterdir() for one in (task / "children").read_text().split()]


def begun(pid: int, before_ticks: int) -> int:
    """The evaluating process of a service, once it has worked for longer than before, in ticks of 10 ms."""
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        for child in children(pid):
            if worked_ticks(child) > before_ticks + 5:
                return child
        time.sleep(0.01)
    raise AssertionError("nothing was evaluated by another process")


def worked_ticks(pid: int) -> int:
    """For how long a process has worked."""
    return int(Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[11])


@contextmanager
def in_the_middle(folder: Path, **environment: str) -> Iterator[tuple[str, "subprocess.Popen[bytes]", int, "Future[HTTPResponse]"]]:
    """A service, its address and its evaluating process, which works on something, and what will be answered."""
    with serving(folder, "--no-auth", **environment) as (address, process), ThreadPoolExecutor() as threads:
        with ask(f"{address}/v1/evaluations", LARGE):
            (child,) = children(process.pid)
        before = worked_ticks(child)
        waits = threads.submit(ask, f"{address}/v1/evaluations", SLOW)
        yield address, process, begun(process.pid, before), waits


def test_killed_in_the_middle_the_caller_is_told_the_service_goes_on_and_nothing_is_recorded(tmp_path: Path) -> None:
    with in_the_middle(tmp_path) as (address, _, child, waits):
        os.kill(child, signal.SIGKILL)
        with pytest.raises(HTTPError) as refused, waits.result(PATIENCE_S):
            pass
        with refused.value:
            problem = json.load(refused.value)
        with ask(f"{address}/v1/evaluations") as found:
            recorded = json.load(found)["evaluations"]
        statuses = []
        for path, body in (("readyz", None), ("v1/evaluations", HOUSE), ("v1/evaluations", SLOW)):
            with ask(f"{address}/{path}", body) as answer:
                statuses.append(answer.status)
        with ask(f"{address}/metrics") as figures:
            starts = [line for line in figures.read().decode().splitlines() if line.startswith("bondwright_apart_starts_total")]

    assert (refused.value.status, refused.value.headers["retry-after"], problem["type"]) == (503, "2", "/problems/cut-off")
    assert len(recorded) == 1  # what was asked before
    assert statuses == [200, 201, 201]
    assert starts == ["bondwright_apart_starts_total 2.0"]


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGKILL])
def test_it_ends_with_the_service_even_in_the_middle(tmp_path: Path, number: signal.Signals) -> None:
    with in_the_middle(tmp_path, BONDWRIGHT_FINISH_S="0") as (_, process, child, waits):
        os.kill(child, signal.SIGSTOP)  # or it might be done before the service has ended
        process.send_signal(number)
        process.wait(PATIENCE_S)
        with suppress(ProcessLookupError):
            os.kill(child, signal.SIGCONT)
        with pytest.raises((OSError, HTTPException)) as ended, waits.result(PATIENCE_S):
            pass
        if isinstance(ended.value, HTTPError):
            ended.value.close()

        end = time.monotonic() + PATIENCE_S
        while Path(f"/proc/{child}").exists() and Path(f"/proc/{child}/stat").read_text().rpartition(")")[2].split()[0] != "Z":
            assert time.monotonic() < end
            time.sleep(0.02)


def test_a_stop_waits_for_what_costs_much_as_for_everything(tmp_path: Path) -> None:
    with in_the_middle(tmp_path, BONDWRIGHT_FINISH_S="60") as (_, process, _, waits):
        process.send_signal(signal.SIGTERM)
        with waits.result(PATIENCE_S) as answer:
            status = answer.status
        left = process.wait(PATIENCE_S)

    assert (status, left) == (201, 0)


def test_what_costs_little_starts_no_other_process(tmp_path: Path) -> None:
    with serving(tmp_path, "--no-auth") as (address, process):
        with ask(f"{address}/v1/evaluations", HOUSE) as answer:
            assert int(answer.headers["price"]) <= USUAL_LIMITS.apart_above

        assert children(process.pid) == []


def waiting(address: str) -> float:
    """How many requests wait for the evaluating process."""
    with ask(f"{address}/metrics") as figures:
        lines = figures.read().decode().splitlines()
    return next(float(line.split()[1]) for line in lines if line.startswith('bondwright_waiting{where="apart"}'))


def until(address: str, count: float) -> None:
    """Nothing, once so many wait."""
    end = time.monotonic() + PATIENCE_S
    while waiting(address) != count:
        assert time.monotonic() < end
        time.sleep(0.02)


def test_who_leaves_while_waiting_leaves_the_queue(tmp_path: Path) -> None:
    with in_the_middle(tmp_path) as (address, _, child, waits):
        os.kill(child, signal.SIGSTOP)
        with connected(address) as leaving:
            leaving.sendall(post(f"Content-Length: {len(SLOW)}") + SLOW)
            until(address, 1)
        until(address, 0)
        os.kill(child, signal.SIGCONT)
        with waits.result(PATIENCE_S) as answer, ask(f"{address}/v1/evaluations") as found:
            status, recorded = answer.status, json.load(found)["evaluations"]

    assert (status, len(recorded)) == (201, 2)


# What it would save is a second or three that are paid for; to stop it would cost everybody the start of another process.
def test_who_leaves_in_the_middle_has_the_work_finished_in_the_same_process_and_nothing_recorded(tmp_path: Path) -> None:
    with serving(tmp_path, "--no-auth") as (address, process):
        with ask(f"{address}/v1/evaluations", LARGE):
            (child,) = children(process.pid)
        before = worked_ticks(child)
        with connected(address) as leaving:
            leaving.sendall(post(f"Content-Length: {len(SLOW)}") + SLOW)
            begun(process.pid, before)
        with ask(f"{address}/v1/evaluations", SLOW) as answer, ask(f"{address}/v1/evaluations") as found:
            status, recorded = answer.status, json.load(found)["evaluations"]

        assert (status, len(recorded), children(process.pid)) == (201, 2, [child])

"""What starting costs: `uv run python -m tests.benchmarks.bench_start [--beside BONDWRIGHT] [--rounds 5]`.

`bondwright --help`, `evaluate` of the kept house, and `serve` until its first evaluation is answered, each in fresh processes, by turns
with a reference: the same interpreter with the same framework, which reads the same body and answers nothing. `--beside` is the
`bondwright` of another checkout, to compare with. Seconds are of processor, of the process and of what it started, and those on the clock
until it had answered or ended; memory is the peak. Compare inside one run only.

As where it is installed, modules are compiled before: a first round, which is not counted, does so where Python may keep what it compiled.
"""

import argparse
import os
import resource
import signal
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from time import monotonic

from tests.bytecode import keep_apart
from tests.cli.command import BONDWRIGHT, HOUSE
from tests.cli.server import ask

_KILO = 1024


@dataclass(frozen=True, slots=True)
class Cost:
    """Of one process: seconds of processor and on the clock, and the most memory it held, in MB."""

    seconds: float
    elapsed: float
    megabytes: float


def main() -> None:
    """Runs every start by turns and prints medians and ratios to the reference."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--beside", type=Path, help="the `bondwright` script of another checkout")
    parser.add_argument("--rounds", type=int, default=5)
    asked = parser.parse_args()
    programs = {"here": BONDWRIGHT} | ({"beside": asked.beside} if asked.beside else {})
    ways: dict[str, Callable[[], Cost]] = {
        "reference": lambda: _until_answered([sys.executable, "-m", "tests.benchmarks.serve_nothing"], "1")
    }
    for name, program in programs.items():
        ways[f"{name}: --help"] = lambda program=program: _run([program, "--help"])  # type: ignore[misc]
        ways[f"{name}: evaluate"] = lambda program=program: _run([program, "evaluate", HOUSE])  # type: ignore[misc]
        ways[f"{name}: serve, first answer"] = lambda program=program: _served(program)  # type: ignore[misc]
    with tempfile.TemporaryDirectory() as folder:
        keep_apart(Path(folder))
        found: dict[str, list[Cost]] = {name: [] for name in ways}
        for number in range(1 + asked.rounds):
            for name, way in ways.items():
                cost = way()
                found[name] += [cost] if number else []
    reference = median(cost.seconds for cost in found["reference"])
    for name, costs in found.items():
        seconds, elapsed, megabytes = (median(getattr(cost, what) for cost in costs) for what in ("seconds", "elapsed", "megabytes"))
        print(f"{name:32} {seconds:6.2f} s of {elapsed:5.2f} s  {megabytes:5.0f} MB  {seconds / reference:5.2f} times the reference")


def _run(command: Sequence[str | Path]) -> Cost:
    begun = monotonic()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    used = _ended(process)
    return Cost(used.ru_utime + used.ru_stime, monotonic() - begun, used.ru_maxrss / _KILO)


def _served(program: Path) -> Cost:
    with tempfile.TemporaryDirectory() as folder:
        return _until_answered([program, "serve", "--no-auth", "--port", "0", "--data", folder], "v1/evaluations")


def _until_answered(command: Sequence[str | Path], path: str) -> Cost:
    begun = monotonic()
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
    assert process.stdout
    address = process.stdout.readline().decode().split()[1]
    with ask(f"{address}/{path}", HOUSE.read_bytes()) as answer:
        assert answer.status == 201, answer.status
    elapsed = monotonic() - begun
    process.send_signal(signal.SIGKILL)
    used = _ended(process)
    return Cost(used.ru_utime + used.ru_stime, elapsed, used.ru_maxrss / _KILO)


def _ended(process: "subprocess.Popen[bytes]") -> "resource.struct_rusage":
    _, _, used = os.wait4(process.pid, 0)
    process.returncode = 0
    return used


if __name__ == "__main__":
    main()

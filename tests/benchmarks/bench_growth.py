"""How an evaluation grows with its description: `uv run python -m tests.benchmarks.bench_growth [SHAPE ...]`.

For each shape of `worst`, or those named, five sizes that double up to the largest legal one, by turns, each with what rules say of its
situations remembered. A line has seconds of processor at the limit, and those of reading, evaluating and writing; bytes of description and
answer; the exponent of time, fitted to all five sizes, and that of the last doubling. Then the survey alone, beyond the limit of lengths.

Beside them stand two more. That of calls is of how many calls evaluating and writing make, or the survey: the same on every machine.
That of the reference is of the time of what does nothing twice: reading the answer with the standard library; making the survey again from
its pickle. It is more than 1 where there is more than the processor keeps near, and more of it while others work on the machine.

Garbage is collected as in the service: not within an evaluation, and what was loaded before is not looked at.
"""

import cProfile
import gc
import json
import math
import pickle
import sys
import time
from collections.abc import Callable, Sequence
from functools import partial

import orjson
from tests.benchmarks.worst import MOST, SHAPES, Shape
from tests.described import read
from tests.rules.revisions import newest

from bondwright.collecting import nothing_collected
from bondwright.compose.written.writing import evaluation_bytes
from bondwright.engine.channels import TwoChannels
from bondwright.engine.memory import BoundedMemory
from bondwright.evaluate.order import evaluate
from bondwright.metalwork.survey import survey
from bondwright.rulebook.pack import RulePack

EDITION = "bs7671-2018-a4"
HALVINGS = (16, 8, 4, 2, 1)
LEAST_S, LEAST_RUNS, TURNS = 0.05, 4, 4
BEYOND = {"lengths": (200, 400, 800, 1600, 3200), "one_piece": (200, 400, 800, 1600, 3200), "steel": (50, 100, 200, 400, 800)}
"""Sizes for the survey alone."""
_GROWTHS = "exponent     last    calls reference"


def taken(works: Sequence[Callable[[], object]]) -> list[float]:
    """Seconds of processor that each takes, the quickest of all its turns: what else the machine does slows some turns of all of them."""
    quickest = [math.inf] * len(works)
    for _ in range(TURNS):
        for place, work in enumerate(works):
            quickest[place] = min(quickest[place], _one_turn(work))
    return quickest


def _one_turn(work: Callable[[], object]) -> float:
    """Of as many runs as fill LEAST_S the quickest."""
    runs: list[float] = []
    while sum(runs) < LEAST_S or len(runs) < LEAST_RUNS:
        began = time.process_time()
        work()
        runs.append(time.process_time() - began)
    return min(runs)


def exponent(sizes: Sequence[int], seconds: Sequence[float]) -> float:
    """The slope of the line through the logarithms, by least squares."""
    x, y = [math.log(size) for size in sizes], [math.log(second) for second in seconds]
    middle_x, middle_y = sum(x) / len(x), sum(y) / len(y)
    along = sum((one - middle_x) * (other - middle_y) for one, other in zip(x, y, strict=True))
    return along / sum((one - middle_x) ** 2 for one in x)


def grown(name: str, shape: Shape, pack: RulePack, channels: TwoChannels) -> str:
    """The line of one shape."""
    sizes = sorted({max(1, MOST[name] // by) for by in HALVINGS})
    works: list[Callable[[], object]] = []
    calls: list[float] = []
    for size in sizes:
        raw = orjson.dumps(shape(size))
        description = read(raw)
        evaluation = evaluate(description, pack, channels.acts, channels.memory)
        written = evaluation_bytes(evaluation)
        works += [
            partial(read, raw),
            partial(evaluate, description, pack, channels.acts, channels.memory),
            partial(evaluation_bytes, evaluation),
            partial(json.loads, written),
        ]
        calls.append(sum(map(_calls, works[-3:-1])))
    told = taken(works)
    each = [told[first : first + 4] for first in range(0, len(told), 4)]
    seconds, plain = [sum(one[:3]) for one in each], [one[3] for one in each]
    parts = " ".join(f"{one:8.3f}" for one in each[-1][:3])
    return f"{name:16} {sizes[-1]:6} {seconds[-1]:8.3f} {parts} {len(raw):9} {len(written):11} {_growths(sizes, seconds, calls, plain)}"


def surveyed(name: str, sizes: Sequence[int], pack: RulePack) -> str:
    """The line of the survey alone of one shape."""
    surveys = [partial(survey, read(orjson.dumps(SHAPES[name](size))), pack, most_lengths=10**6) for size in sizes]
    told = taken([*surveys, *[partial(pickle.loads, pickle.dumps(one())) for one in surveys]])
    seconds, plain = told[: len(sizes)], told[len(sizes) :]
    return f"{name:16} {sizes[-1]:6} {seconds[-1]:8.3f} {_growths(sizes, seconds, list(map(_calls, surveys)), plain)}"


def _calls(work: Callable[[], object]) -> float:
    """How many calls it makes, those of built-in functions too."""
    profile = cProfile.Profile()
    profile.runcall(work)
    return sum(one.callcount for one in profile.getstats())


def _growths(sizes: Sequence[int], seconds: Sequence[float], calls: Sequence[float], plain: Sequence[float]) -> str:
    """The exponent, that of the last doubling, that of calls, and that of the reference."""
    last = math.log(seconds[-1] / seconds[-2]) / math.log(sizes[-1] / sizes[-2])
    return f"{exponent(sizes, seconds):8.2f} {last:8.2f} {exponent(sizes, calls):8.2f} {exponent(sizes, plain):9.2f}"


def main(names: Sequence[str]) -> None:
    """Prints both tables."""
    pack = newest(EDITION)
    memory = BoundedMemory(50_000)
    channels = TwoChannels(pack, memory)
    channels.build()
    gc.collect()
    gc.freeze()
    times = " ".join(f"{name:>8}" for name in ("seconds", "read", "evaluate", "write"))
    print(f"{'shape':16} {'size':>6} {times} {'bytes in':>9} {'bytes out':>11} {_GROWTHS}")
    for name in names or SHAPES:
        with nothing_collected():
            line = grown(name, SHAPES[name], pack, channels)
        print(line, flush=True)
    channels.close()
    print(f"\n{'survey alone':16} {'size':>6} {'seconds':>8} {_GROWTHS}")
    for name, sizes in BEYOND.items():
        with nothing_collected():
            line = surveyed(name, sizes, pack)
        print(line, flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])

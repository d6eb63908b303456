"""Before and after in one run: `uv run python -m tests.benchmarks.bench_beside COMMIT [--help]`.

COMMIT is checked out into a throw-away folder with an environment of its own, and both trees do the same by turns:

- evaluation of the README's house and of every worked case, in a fresh process each turn, from bytes to bytes, recorded nowhere. First:
  each for the first time. Cold: no two alike, after as many others. Kin: houses met before with other numbers and readings. Again: the very
  same bytes, judged again. Warm: the same, only under another reference. Known: such again, as a request has them before they are
  recorded, which are found among answers given before where a tree keeps those.
- start: `--help`, `evaluate`, and `serve` until its first answer, with processor and memory.
- `serve`, evaluate and record, by the processor of its process for a request: cold, kin, warm as before, and again.

Descriptions that either tree refuses are left out on both sides. Told is the median of the turns, and before to after as a ratio: 2 is
twice as fast. One pack: both trees judge by the same published pack, so that only the code differs; it may be withdrawn by now. Own packs,
and over HTTP: each by the packs that it has, as its callers would get it. Compare inside one run only.
"""

import json
import os
import subprocess
import sys
import tempfile
from argparse import ArgumentParser, Namespace
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack
from itertools import cycle, islice
from pathlib import Path
from statistics import mean, median

from tests.benchmarks.bench_load import EVALUATIONS, Process, database, started
from tests.benchmarks.bench_request import Spent, drive
from tests.benchmarks.load import again, every_case, kin, varied, well_known
from tests.bytecode import keep_apart
from tests.cli.command import HOUSE

HERE = Path(__file__).parents[2]
_PYTHON, _COMMAND = ".venv/bin/python", ".venv/bin/bondwright"
_UNLIKE, _KINS, _ROUNDS = 1_500, 200, 3

Trees = Mapping[str, Path]


def main() -> None:
    """Measure both trees by turns and print what each took, with ratios."""
    asked = _asked()
    with tempfile.TemporaryDirectory() as folder:
        keep_apart(Path(folder) / "compiled")
        trees = {"before": asked.at or checked_out(asked.commit, Path(folder) / "before"), "after": HERE}
        print(f"{'':34}{'before':>12}{'after':>12}{'ratio':>8}", flush=True)
        for part, measure in (("evaluation", _evaluation), ("start", _start), ("request", _request)):
            if part in asked.parts:
                measure(trees, asked, Path(folder))


def checked_out(commit: str, folder: Path) -> Path:
    """A clone of this repository at that commit, installed in an environment of its own."""
    environment = {name: value for name, value in os.environ.items() if name != "VIRTUAL_ENV"}
    for command in (("git", "clone", "-q", HERE, folder), ("git", "-C", folder, "checkout", "-q", commit)):
        subprocess.run(command, check=True)
    subprocess.run(("uv", "sync", "-q"), check=True, cwd=folder, env=environment)
    return folder


def _evaluation(trees: Trees, asked: Namespace, folder: Path) -> None:
    house, cases, unlike = HOUSE.read_bytes(), every_case(), list(islice(varied(), 2 * _UNLIKE))
    others = {"others": unlike[:_UNLIKE], "cold": unlike[_UNLIKE:], "kin": list(islice(kin(), _KINS))}
    for pack, title, bodies, more in (
        (asked.pack, "house, one pack", [house], {}),
        (asked.pack, "cases, one pack", cases, others),
        ("", "house, own packs", [house], {}),
        ("", "cases, own packs", cases, others),
    ):
        again_and_again = [body for _ in range(_ROUNDS) for body in bodies]
        warm, known = (list(again(bodies, _ROUNDS, place)) for place in ("Linnet Walk", "Linnet Court"))
        given = {"first": bodies, **more, "again": again_and_again, "warm": warm, "met": bodies, "known": known}
        given = {name: [_by(pack, body) for body in some] for name, some in given.items()}
        file = folder / "descriptions.json"
        file.write_text(json.dumps({name: [body.decode() for body in some] for name, some in given.items()}), encoding="utf-8")
        found: dict[str, list[dict[str, list[float | None]]]] = {name: [] for name in trees}
        for turn in range(-1, asked.turns):
            for name, tree in trees.items():
                command = [tree / _PYTHON, HERE / "tests/benchmarks/evaluate_here.py", file]
                told = subprocess.run(command, check=True, stdout=subprocess.PIPE)
                # The first turn, in which modules may still be compiled, is not counted.
                found[name] += [json.loads(told.stdout)] if turn >= 0 else []
        for way in (name for name in given if name not in ("others", "met")):
            answered = [all(turn[way][n] is not None for turns in found.values() for turn in turns) for n in range(len(given[way]))]
            means = {name: [mean(_of(turn[way], answered)) * 1000 for turn in turns] for name, turns in found.items()}
            _tell(f"evaluate {title}, {way}", means, "ms")


def _by(pack: str, body: bytes) -> bytes:
    """The same description, judged by that pack alone; by the date of its work, where none is given."""
    return json.dumps(json.loads(body) | {"rule_pack": pack}).encode() if pack else body


def _of(seconds: Sequence[float | None], answered: Sequence[bool]) -> list[float]:
    return [one for one, is_counted in zip(seconds, answered, strict=True) if is_counted and one is not None]


def _start(trees: Trees, asked: Namespace, _: Path) -> None:
    # By a process of its own, for what is started is told to have held what its starter held.
    beside = ("--beside", trees["before"] / _COMMAND, "--rounds", str(asked.turns))
    subprocess.run([sys.executable, "-m", "tests.benchmarks.bench_start", *beside], check=True, cwd=HERE)


def _request(trees: Trees, asked: Namespace, folder: Path) -> None:
    for kind in asked.databases:
        with ExitStack() as stack:
            servers = {name: _serving(stack, tree, kind, folder / f"{name} {kind}") for name, tree in trees.items()}
            for connections in asked.connections:
                for way, bodies in _ways().items():
                    spent = {name: [Spent() for _ in range(asked.turns)] for name in trees}
                    for turn in range(-1, asked.turns):
                        for name, server in servers.items():
                            drive(server, bodies(), connections, asked.seconds, spent[name][turn] if turn >= 0 else Spent())
                    title = f"{kind} {connections}, {way}"
                    _tell(title, {name: [one.each_ms for one in turns] for name, turns in spent.items()}, "ms")
                    _tell(title, {name: [one.rate for one in turns] for name, turns in spent.items()}, "/s")


def _ways() -> dict[str, Callable[[], Iterator[tuple[str, bytes]]]]:
    different, related, renamed = varied(), kin(), again(well_known(), 1_000_000)
    repeated = cycle(well_known())
    of = {"cold": different, "kin": related, "warm": renamed, "again": repeated}
    return {way: lambda bodies=bodies: ((EVALUATIONS, body) for body in bodies) for way, bodies in of.items()}  # type: ignore[misc]


def _serving(stack: ExitStack, tree: Path, kind: str, data: Path) -> Process:
    address, _ = stack.enter_context(database(kind == "postgresql", tree / _COMMAND))
    place = () if address else ("--data", data)
    return stack.enter_context(started(tree / _COMMAND, "serve", "--no-auth", "--port", "0", *place, BONDWRIGHT_DATABASE=address))


def _tell(title: str, figures: Mapping[str, Sequence[float]], unit: str) -> None:
    before, after = (median(figures[name]) for name in ("before", "after"))
    ratio = after / before if unit == "/s" else before / after
    print(f"{title:34}{before:9.2f} {unit:2}{after:9.2f} {unit:2}{ratio:8.2f}", flush=True)


def _asked() -> Namespace:
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("commit", nargs="?", default="b94f39e", help="what is before; usually the last before evaluation was rebuilt")
    parser.add_argument("--at", type=Path, help="a tree with an environment in `.venv`, instead of COMMIT")
    parser.add_argument("--pack", default="bs7671-2018-a4-r6", help="a pack that both trees have")
    parser.add_argument("--parts", nargs="+", choices=["evaluation", "start", "request"], default=["evaluation", "start", "request"])
    parser.add_argument("--databases", nargs="+", choices=["sqlite", "postgresql"], default=["sqlite"])
    parser.add_argument("--connections", type=int, nargs="+", default=[1, 64])
    parser.add_argument("--seconds", type=float, default=3, help="of each turn of requests")
    parser.add_argument("--turns", type=int, default=3)
    return parser.parse_args()


if __name__ == "__main__":
    main()

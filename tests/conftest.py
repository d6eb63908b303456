"""Generated tests draw the same examples every time, so that a run can be repeated; exploring is asked for.

uv run pytest tests/properties --hypothesis-profile=explore
"""

import atexit
import gc
import os
from collections.abc import Generator, Iterator
from datetime import date
from pathlib import Path

import pytest
from hypothesis import settings
from tests import forked
from tests.bytecode import keep_apart
from tests.counted import Counted, note_examples
from tests.postgresql_server import PostgresqlServer
from tests.taken import is_left_out, put_in_order

# No deadline: how long an example takes says more of what else the machine is doing.
settings.register_profile("same-every-time", derandomize=True, database=None, deadline=None)
settings.register_profile("explore", max_examples=1000, deadline=None)
settings.load_profile("same-every-time")

WORKERS = 2
"""The cores of a small machine. With one process more the suite was done no sooner, for a fourteenth more of processor (2026-12-01)."""


def pytest_addoption(parser: pytest.Parser) -> None:
    """Adds options of ours."""
    parser.addoption("--longer", action="store_true", help="take what a run leaves out that is not told to take it by its name")
    parser.addoption("--shuffle", type=int, metavar="SEED", help="take the files of tests in a random order")
    parser.addoption("--share", type=int, default=1, metavar="N", help="take every Nth test, on the next day others")


def pytest_configure(config: pytest.Config) -> None:
    """Counts where all results come together; compiled modules are kept from run to run, whatever this machine does with its own.

    The collector of garbage does not go through everything after every 700 things: that was two fifths of collecting (2026-11-29). Networks
    are solved on one thread, as in the service: processes are forked from this one.
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    gc.set_threshold(50_000, 20, 50)
    keep_apart(config.rootpath / ".pytest_cache" / "compiled")
    if hasattr(config, "workerinput"):
        # What a process of the suite still holds at its end is not let go thing by thing, which took it five seconds (2026-12-01).
        atexit.register(os._exit, 0)
    else:
        config.pluginmanager.register(Counted(config))


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Several processes for the whole suite or folders of it; one file is done before they are all there."""
    few = config.args and all(Path(name.partition("::")[0]).is_file() for name in config.args)
    return 0 if few else WORKERS


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """Leaves out what takes long, or with `--longer` all else."""
    return True if is_left_out(collection_path, config) else None


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Puts the longest files first, or all of them in a random order. Of a share the others are left out."""
    put_in_order(items, config.getoption("--shuffle"))
    share = config.getoption("--share")
    items[:] = [item for number, item in enumerate(items) if (number + date.today().toordinal()) % share == 0]


def pytest_unconfigure() -> None:
    """The process that forks has done its work. Garbage is looked for once: pytest, which looks five times, has nothing to go through."""
    forked.forget()
    gc.collect()
    gc.freeze()


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Has each report say what was examined."""
    report = yield
    note_examples(item, report)
    return report


def pytest_collection_finish() -> None:
    """What is collected stays to the end: the collector of garbage need not go through it again and again."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session")
def server() -> Iterator[PostgresqlServer]:
    """A PostgreSQL server for all tests of a process; each takes databases of its own."""
    started = PostgresqlServer()
    yield started
    started.remove()

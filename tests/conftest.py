"""Generated tests draw the same examples every time, so that a run can be repeated; exploring is asked for.

uv run pytest tests/properties --hypothesis-profile=explore
"""

import gc
import os
import random
from collections.abc import Generator, Iterator
from datetime import date
from pathlib import Path

import pytest
from hypothesis import settings
from tests import forked
from tests.bytecode import keep_apart
from tests.counted import Counted, note_examples
from tests.postgresql_server import PostgresqlServer

# No deadline: how long an example takes says more of what else the machine is doing.
settings.register_profile("same-every-time", derandomize=True, database=None, deadline=None)
settings.register_profile("explore", max_examples=1000, deadline=None)
settings.load_profile("same-every-time")

WORKERS = 3
"""One more than the cores of a small machine: a fifth of the time of two is spent waiting for servers, disks and time limits."""
LONGEST = (
    "api/test_fuzz.py",
    "rules/test_published_pack.py",
    "properties/test_caution_law.py",
    "cli/test_read_only.py",
    "rules/test_proofs_published.py",
    "properties/test_questions.py",
    "cases/test_mistakes_in_text.py",
    "properties/test_what_no_rule_covers.py",
    "rules/test_lacking.py",
    "core/test_editions.py",
    "cli/test_rules_kept_cases.py",
    "api/test_planted_faults.py",
    "api/sharing/test_apart.py",
    "cli/test_rules_new_place.py",
    "cli/test_impact_resumed.py",
    "compatibility/test_generated_changes.py",
    "cli/test_costly.py",
    "audit/test_postgresql_gone.py",
    "audit/test_postgresql_kill.py",
    "audit/test_refusing_disk.py",
    "core/test_a_client_that_codes.py",
    "properties/test_outline.py",
    "properties/test_words_and_json.py",
    "words/test_answers_say_how_they_were_made.py",
    "audit/test_power_cut.py",
    "client/test_node_clients.py",
    "rules/test_mistakes_are_refused.py",
    "cli/test_demo.py",
)
"""The files that take longest, the longest first: begun last, one of them would keep the others waiting."""


def pytest_addoption(parser: pytest.Parser) -> None:
    """Adds options of ours."""
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
    if not hasattr(config, "workerinput"):
        config.pluginmanager.register(Counted(config))


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """Several processes for the whole suite or folders of it; one file is done before they are all there."""
    few = config.args and all(Path(name.partition("::")[0]).is_file() for name in config.args)
    return 0 if few else WORKERS


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Puts the longest files first, or all of them in a random order; within a file nothing moves. Of a share the others are left out."""
    here, seed = Path(__file__).parent, config.getoption("--shuffle")
    files = list(dict.fromkeys(item.path for item in items))
    if seed is not None:
        random.Random(seed).shuffle(files)
    else:
        names = [file.relative_to(here).as_posix() for file in files]
        files = [files[names.index(name)] for name in LONGEST if name in names] + files
    order = {file: place for place, file in reversed(list(enumerate(files)))}
    items.sort(key=lambda item: order[item.path])
    share = config.getoption("--share")
    items[:] = [item for number, item in enumerate(items) if (number + date.today().toordinal()) % share == 0]


def pytest_unconfigure() -> None:
    """The process that forks has done its work."""
    forked.forget()


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

"""Every folder touches nothing outside itself unless it is listed, and only `settings` reads the environment."""

import ast
from collections.abc import Iterator

import pytest
from tests.architecture.house import FOLDERS, ROWS, TOUCHES_THE_WORLD, folder_of, nowhere, sources, tree_of
from tests.architecture.test_imports import imported

SOURCES = sources()
READS_THE_ENVIRONMENT = "settings"
LOWEST_WORLDLY_ROW = 5

WORLDLY_MODULES = (
    {"os", "sys", "pathlib", "io", "glob", "shutil", "tempfile", "subprocess", "signal", "logging"}
    | {"time", "random", "secrets", "uuid", "uuid_utils"}
    | {"socket", "http", "urllib", "asyncio", "threading", "multiprocessing"}
)
WORLDLY_NAMES = frozenset({"open", "input", "print", "__import__", "exec", "eval"})
CLOCK_READINGS = frozenset({"now", "utcnow", "today"})
ENVIRONMENT = frozenset({"environ", "environb", "getenv", "getenvb", "putenv"})


def worldly(source: str) -> list[str]:
    """Each use of files, clock, randomness, network, threads or screen in `source`."""
    faults = [f"{line}: imports {name}" for line, name in imported(source) if name.split(".")[0] in WORLDLY_MODULES]
    for node in ast.walk(tree_of(source)):
        if isinstance(node, ast.Name) and node.id in WORLDLY_NAMES:
            faults.append(f"{node.lineno}: uses {node.id}")
        elif isinstance(node, ast.Attribute) and node.attr in CLOCK_READINGS:
            faults.append(f"{node.lineno}: reads the clock with {node.attr}")
    return faults


def impure(module: str, source: str) -> list[str]:
    """Each such use in a module whose folder is not listed among those that touch the world."""
    return [] if folder_of(module) in TOUCHES_THE_WORLD else worldly(source)


def environment_uses(source: str) -> Iterator[str]:
    """Each place of `source` that reaches for the environment."""
    yield from (f"{line}: imports {name}" for line, name in imported(source) if name.startswith("os.") and name[3:] in ENVIRONMENT)
    for node in ast.walk(tree_of(source)):
        if isinstance(node, ast.Attribute) and node.attr in ENVIRONMENT:
            yield f"{node.lineno}: uses {node.attr}"


def test_what_is_not_listed_touches_nothing_outside() -> None:
    nowhere(impure)


@pytest.mark.parametrize("folder", TOUCHES_THE_WORLD)
def test_each_folder_that_is_listed_touches_the_world(folder: str) -> None:
    assert any(worldly(source) for module, source in SOURCES.items() if folder_of(module) == folder)


def test_whatever_decides_is_pure() -> None:
    assert [folder for folder in FOLDERS & TOUCHES_THE_WORLD.keys() if ROWS[folder] < LOWEST_WORLDLY_ROW] == []


def test_only_settings_reads_the_environment() -> None:
    nowhere(lambda module, source: [] if folder_of(module) == READS_THE_ENVIRONMENT else environment_uses(source))


def test_settings_reads_the_environment() -> None:
    assert any(list(environment_uses(source)) for module, source in SOURCES.items() if folder_of(module) == READS_THE_ENVIRONMENT)


@pytest.mark.parametrize("module", ["bondwright.cellar.shelf", "bondwright.conclude.new", "bondwright.lone", "bondwright"])
def test_a_folder_that_is_new_or_renamed_is_guarded(module: str) -> None:
    assert len(impure(module, "import time")) == 1
    assert impure("bondwright.cli.show", "import time") == []


@pytest.mark.parametrize(
    "source",
    [
        "from pathlib import Path",
        "import random",
        "import uuid",
        "import time",
        "import os.path",
        "def read(file):\n    return open(file)",
        "from datetime import datetime\nstamp = datetime.now",
        "import datetime\nday = datetime.date.today()",
    ],
)
def test_touching_the_world_is_found(source: str) -> None:
    assert len(worldly(source)) == 1


def test_a_date_as_a_value_is_no_clock() -> None:
    assert worldly("from datetime import date\nday: date = date(2026, 4, 15)") == []


@pytest.mark.parametrize("source", ["import os\nos.environ['A']", "from os import getenv", "import os\nos.getenv('A')"])
def test_reading_the_environment_is_found(source: str) -> None:
    assert len(list(environment_uses(source))) == 1

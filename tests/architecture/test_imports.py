"""Imports point down the rows, and each outside module is used in one place only."""

import ast
import re
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from tests.architecture.house import FOLDERS, PACKAGE, ROWS, folder_of, nowhere, sources, tree_of

SOURCES = sources()

USED_ONLY_IN = {
    "alembic": {"audit"},
    "backports": {"api", "audit"},
    "durable_rules_engine": {"engine"},
    "fastapi": {"api"},
    "fastapi_offline": {"api"},
    "h11": {"api"},
    "jiter": {"installation"},
    "numpy": {"calculators"},
    "opentelemetry": {"assembly"},
    "orjson": {"api", "assembly", "audit", "calculations", "cases", "cli", "compose", "outline", "proofs"},
    "prometheus_client": {"api"},
    "psycopg": {"audit"},
    "pydantic": {"api", "calculations", "cli", "installation", "shelf"},
    "pydantic_core": {"api", "calculations", "installation"},
    "sqlalchemy": {"audit"},
    "sqlite3": {"audit"},
    "starlette": {"api"},
    "uuid_utils": {"api", "assembly"},
    "uvicorn": {"api", "cli"},
    "yaml": {"shelf"},
    "z3": {"proofs"},
}
"""Where each module that is not of the standard library is used, and of that the database."""
ANYWHERE = {"msgspec"}
"""Used as the standard library is: any folder may declare a struct."""


def imported(source: str) -> Iterator[tuple[int, str]]:
    """Line and dotted name of everything that `source` imports; `from a import b` gives `a.b`."""
    for node in ast.walk(tree_of(source)):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield from ((node.lineno, f"{'.' * node.level}{node.module or ''}.{alias.name}") for alias in node.names)


def wrong_ways(module: str, source: str) -> list[str]:
    """Each import that is relative, or that points to a folder of the same or a higher row."""
    here = folder_of(module)
    faults = [f"no row is set for the folder {here}"] if here and here not in ROWS else []
    for line, name in imported(source):
        there = folder_of(name) if name.split(".")[0] == "bondwright" else ""
        if name.startswith("."):
            faults.append(f"{line}: relative import of {name}")
        elif there in ROWS and there != here and ROWS[there] >= ROWS.get(here, 0):
            faults.append(f"{line}: {here or 'the package'} may not import {there}")
    return faults


def out_of_place(module: str, source: str) -> list[str]:
    """Each outside module imported in a folder that is not its own, or that has none."""
    here, free = folder_of(module), {"", "bondwright", *sys.stdlib_module_names, *ANYWHERE} - USED_ONLY_IN.keys()
    return [
        f"{line}: {name} belongs to {' and '.join(sorted(USED_ONLY_IN.get(root, ()))) or 'no folder'}"
        for line, name in imported(source)
        if (root := name.split(".")[0]) not in free and here not in USED_ONLY_IN.get(root, ())
    ]


def sharing(module: str, source: str) -> list[str]:
    """Each import by which the engine would read rules as the plain reader does; `channels` compares the two, and must have both."""
    if folder_of(module) != "engine" or module == "bondwright.engine.channels":
        return []
    return [
        f"{line}: {name} belongs to the other channel"
        for line, name in imported(source)
        if name.startswith("bondwright.rulebook.meaning") or name == "bondwright.rulebook.facts.Truth"
    ]


def test_the_two_channels_share_nothing_that_reads_a_condition() -> None:
    nowhere(sharing)


def test_channels_compares_the_engine_with_the_plain_reader() -> None:
    names = [name for _, name in imported(SOURCES["bondwright.engine.channels"])]

    assert any(name.startswith("bondwright.rulebook.meaning.") for name in names)
    assert any(name.startswith("bondwright.engine.") for name in names)


@pytest.mark.parametrize(
    "source",
    [
        "from bondwright.rulebook import meaning",
        "from bondwright.rulebook.meaning import threshold",
        "import bondwright.rulebook.meaning",
        "def go():\n    from bondwright.rulebook.facts import Truth",
    ],
)
def test_an_engine_that_reads_as_the_plain_reader_does_is_found(source: str) -> None:
    assert len(sharing("bondwright.engine.group", source)) == 1


def test_imports_point_down() -> None:
    nowhere(wrong_ways)


def test_each_folder_has_a_row_and_each_row_a_folder() -> None:
    assert ROWS.keys() == FOLDERS


@pytest.mark.parametrize("page", [PACKAGE / "__init__.py", PACKAGE.parents[1] / "DEVELOPERS.md"], ids=lambda page: page.name)
def test_each_folder_is_told_of(page: Path) -> None:
    told = set(re.findall(r"\w+", page.read_text(encoding="utf-8")))

    assert FOLDERS - told == set()


@pytest.mark.parametrize(
    ("outside", "folder"), [(outside, folder) for outside, folders in USED_ONLY_IN.items() for folder in sorted(folders)]
)
def test_each_outside_module_is_used_where_it_belongs(outside: str, folder: str) -> None:
    used = {name.split(".")[0] for module, source in SOURCES.items() if folder_of(module) == folder for _, name in imported(source)}

    assert outside in used


def test_outside_modules_stay_in_their_place() -> None:
    nowhere(out_of_place)


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("bondwright.rulebook.rule", "import bondwright.evaluate.reasoning.stages"),
        ("bondwright.rulebook.rule", "from bondwright import evaluate"),
        ("bondwright.report.page", "from bondwright.audit.records import Record"),
        ("bondwright.calculators.water", "from bondwright.rulebook import pack"),
        ("bondwright.rulebook.pack", "from bondwright.metalwork.parts import Part"),
        ("bondwright.engine.runner", "def run():\n    from bondwright.settings import Settings"),
        ("bondwright.rulebook.rule", "from .facts import Facts"),
        ("bondwright", "from bondwright.errors import Refused"),
        ("bondwright.cellar.shelf", "import json"),
    ],
)
def test_an_import_that_points_up_or_sideways_is_found(module: str, source: str) -> None:
    assert len(wrong_ways(module, source)) == 1


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("bondwright.metalwork.parts", "from bondwright.rulebook.pack import RulePack"),
        ("bondwright.rulebook.rule", "from bondwright.rulebook.facts import Facts"),
        ("bondwright.cli", "from bondwright.api import application"),
        ("bondwright.evaluate.reasoning.stages", "import json"),
    ],
)
def test_an_import_that_points_down_passes(module: str, source: str) -> None:
    assert wrong_ways(module, source) == []


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("bondwright.metalwork.parts", "import sqlite3"),
        ("bondwright.assembly", "from durable_rules_engine import create_ruleset"),
        ("bondwright.rulebook.pack", "from yaml import CBaseLoader"),
        ("bondwright.evaluate.reasoning.stages", "def go():\n    import fastapi.responses"),
        ("bondwright.assembly", "import uvicorn"),
        ("bondwright.cellar.shelf", "import yaml"),
        ("bondwright.shelf", "from ruamel.yaml import YAML"),
    ],
)
def test_an_outside_module_out_of_place_is_found(module: str, source: str) -> None:
    assert len(out_of_place(module, source)) == 1

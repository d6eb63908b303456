"""The steps and their SQL, read from the files beside this one."""

import re
import sqlite3
from functools import cache
from pathlib import Path

_HERE = Path(__file__).parent


_ALEMBIC_TABLE = (
    "CREATE TABLE alembic_version (\n\tversion_num VARCHAR(32) NOT NULL, \n\tCONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)\n)"
)
"""Where Alembic keeps the step, in its words."""

NOTHING = "base"
"""Before the first step."""


@cache
def known_steps() -> tuple[str, ...]:
    """Every step, the first one first."""
    return tuple(sorted(path.stem.split("_")[1] for path in (_HERE / "versions").glob("step_*.py")))


@cache
def statements_of(dialect: str, name: str) -> tuple[str, ...]:
    """The statements of `name`.sql for `dialect`, sqlite or postgresql; those for PostgreSQL are one text, which it takes apart itself."""
    text = (_HERE / dialect / f"{name}.sql").read_text(encoding="utf-8")
    if dialect != "sqlite":
        return (text,)
    found: list[str] = []
    waiting = ""
    for line in text.splitlines(keepends=True):
        waiting += "" if line.startswith("--") else line
        if waiting.strip() and sqlite3.complete_statement(waiting):
            found.append(waiting.strip().removesuffix(";"))
            waiting = ""
    return tuple(found)


@cache
def layout_of(step: str) -> tuple[str, ...]:
    """The statements that lay out an empty SQLite file at `step` as taking it up step by step would, which loads far more to do it."""
    steps = (statement for name in _names("sqlite", int(step)) for statement in statements_of("sqlite", name))
    return (_ALEMBIC_TABLE, f"INSERT INTO alembic_version (version_num) VALUES ('{step}')", *steps)


@cache
def triggers_of(step: int) -> frozenset[str]:
    """Every trigger of a SQLite file at `step`, in the words that SQLite keeps of it."""
    return frozenset(text for name in _names("sqlite", step) for text in statements_of("sqlite", name) if text.startswith("CREATE TRIGGER"))


@cache
def triggers_named(step: int) -> frozenset[str]:
    """The name of every trigger of a PostgreSQL database at `step`."""
    texts = [text for name in _names("postgresql", step) for text in statements_of("postgresql", name)]
    return frozenset(name for text in texts for name in re.findall(r"^CREATE TRIGGER (\w+)", text, re.MULTILINE))


def _names(dialect: str, step: int) -> list[str]:
    found = sorted(path.stem for path in (_HERE / dialect).glob("*.sql"))
    return [name for name in found if int(name[:4]) <= step and not name.endswith("_down")]

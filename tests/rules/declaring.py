"""What packs of the fourth format declare of names, put into the files of a copy of the rules where it is not there yet."""

import re
from pathlib import Path

from bondwright.shelf.declared.names import SECTION, UNDECLARED_NAMES
from bondwright.shelf.packs import rules_folder


def declare_names(folder: Path) -> None:
    """Lets the files in `folder` say the roles of outcomes, and the tables that older packs are read with."""
    for name in ("outcomes.yaml", "iec60364/outcomes.yaml"):
        _with_roles(folder / name)
    for name in ("materials.yaml", "iec60364/materials.yaml"):
        _with_tables(folder / name)


def _undeclared() -> str:
    return (rules_folder() / UNDECLARED_NAMES).read_text(encoding="utf-8")


def _with_roles(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    if f"\n{SECTION}:\n" not in text:
        lines = _undeclared().partition(f"{SECTION}:\n")[2].partition("#")[0].splitlines(keepends=True)
        roles = "".join(line for line in lines if f"\n  {line.split()[1]}:" in text)
        path.write_text(f"{text}{SECTION}:\n{roles}", encoding="utf-8")


def _with_tables(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    if "\n  sized_metals:" not in text:
        tables, _, touched = _undeclared().partition("properties:\n")[2].partition("  touches:\n")
        if "/iec60364/" not in path.as_posix():  # no other edition has a value of its own for that metal
            tables = re.sub(r", least_separate: \w+", "", tables)
        text = text.replace("properties:\n", f"properties:\n{tables}", 1)
        row, cell = re.findall(r"^    (\w+): \{(.*)\}$", touched, re.MULTILINE)[0]
        text = re.sub(rf"(\n  touches:.*\n(?:    .*\n)*?    {row}: \{{[^}}\n]*)\}}", rf"\1, {cell}}}", text)
    path.write_text(text, encoding="utf-8")

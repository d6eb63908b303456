"""What the page for developers names is there."""

import re
from collections.abc import Iterator

import pytest
from tests.architecture.house import FOLDERS, PACKAGE, sources

ROOT = PACKAGE.parents[1]
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
MOST_LINES = 20
QUESTIONS = 16


def where_is_it(page: str) -> list[str]:
    """The lines of that section of the page, its heading first, without empty ones."""
    section = page.partition("\n## Where is it?\n")[2].partition("\n## ")[0]
    return ["## Where is it?", *filter(None, section.splitlines())]


def missing_paths(page: str) -> list[str]:
    """Each path that is answered there and is no file, of the repository or below the package."""
    rows = [line.split("|")[2:4] for line in where_is_it(page) if line.startswith("| ") and "?" in line]
    paths = [path for row in rows for cell in row for path in re.findall(r"`(.+?)`", cell)]
    return [path for path in paths if not ((ROOT / path).is_file() or (PACKAGE / path).is_file())]


def missing_modules(page: str) -> Iterator[str]:
    """Each `folder.module`, or name in one, of the page that the package has not."""
    modules = sources()
    for named in re.findall(r"`([a-z_]+(?:\.\w+)+)`", page):
        home, _, name = f"bondwright.{named}".rpartition(".")
        found = f"bondwright.{named}" in modules or re.search(rf"^(?:class |def |    def )?{name}\b", modules.get(home, ""), re.MULTILINE)
        if named.partition(".")[0] in FOLDERS and not found:
            yield named


def test_where_it_is_is_told_in_a_few_lines() -> None:
    lines = where_is_it(PAGE)

    assert len(lines) <= MOST_LINES
    assert sum("?" in line for line in lines[1:]) == QUESTIONS


def test_each_path_is_there() -> None:
    assert missing_paths(PAGE) == []


def test_each_module_is_there() -> None:
    assert sorted(set(missing_modules(PAGE))) == []


def test_what_is_not_there_is_found() -> None:
    page = "\n## Where is it?\n\n| Where? | `rules/none.yaml` | `facts/row.py` |\n\n## Else\n`facts.row.Row`, `facts.none`, `facts.row.Not`"

    assert missing_paths(page) == ["rules/none.yaml"]
    assert list(missing_modules(page)) == ["facts.none", "facts.row.Not"]


@pytest.mark.parametrize("named", ["uv.lock", "pyproject.toml", "rules.md"])
def test_a_file_is_no_module(named: str) -> None:
    assert list(missing_modules(f"`{named}`")) == []

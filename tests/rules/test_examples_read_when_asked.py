"""A published pack judges before its examples are read; however they are laid out, it is the pack that is read whole."""

import re
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest
from tests.rules.mini import FILES

from bondwright.rulebook.pack import RulePack
from bondwright.shelf.packs import LOCK, load_pack
from bondwright.shelf.published import PublishedPack, on_shelf
from bondwright.shelf.words.shelved import without_examples

_LIST = re.compile(r"^    examples:\n((?:      .*\n)+)", re.MULTILINE)
_FILE = "published/mini-first-r1.yaml"


def _inner(change: Callable[[str], str]) -> Callable[[str], str]:
    return lambda text: _LIST.sub(lambda found: "    examples:\n" + change(found[1]), text)


LAYOUTS: Mapping[str, Callable[[str], str]] = {
    "as publishing leaves it": str,
    "no further in than their key": _inner(lambda lines: lines.replace("      - ", "    - ")),
    "further in": _inner(lambda lines: lines.replace("      - ", "          - ")),
    "with remarks and empty lines": _inner(lambda lines: lines.replace("      - ", "\n# a remark\n      # another\n      - ")),
    "on one line": lambda text: _LIST.sub(lambda found: f"    examples: [{', '.join(line[8:] for line in found[1].splitlines())}]\n", text),
    "over several lines": _inner(lambda lines: lines.replace(", expect:", ",\n         expect:")),
    "with lines that begin at the margin": _inner(lambda lines: lines.replace(", expect:", ",\nexpect:")),
    "with lines that begin further out": _inner(lambda lines: lines.replace(", expect:", ",\n  expect:")),
}


def published(text: str, folder: Path) -> PublishedPack:
    """A pack on a shelf in that folder, whose file has that text."""
    (folder / _FILE).parent.mkdir()
    (folder / _FILE).write_text(text)
    whole = load_pack(text.encode(), _FILE)
    (folder / LOCK).write_text(f"{whole.pack_id} {whole.digest} 2026-01-01\n")
    (pack,) = on_shelf(folder)
    return pack


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_pack_is_the_same_whether_its_examples_are_read_at_once_or_when_asked_for(layout: str, tmp_path: Path) -> None:
    text = LAYOUTS[layout]("".join(FILES.values()))
    whole = load_pack(text.encode(), _FILE)

    pack: RulePack = published(text, tmp_path).whole()

    assert pack == whole
    assert len(whole.examples) > 1
    assert pack.examples == whole.examples


def test_only_examples_of_rules_are_left_out() -> None:
    elsewhere = b"facts:\n  metal:\n    examples:\n      - {given: {}}\n"

    assert without_examples(elsewhere) == elsewhere
    assert without_examples(elsewhere + b"rules:\n  - id: one\n    examples:\n      - {given: {}}\n" + elsewhere) == (
        elsewhere + b"rules:\n  - id: one\n\n\n" + elsewhere
    )


@pytest.mark.parametrize("layout", ["as publishing leaves it", "no further in than their key", "with remarks and empty lines"])
def test_what_is_left_stands_on_its_lines_and_has_no_example(layout: str) -> None:
    text = LAYOUTS[layout]("".join(FILES.values())).encode()

    left = without_examples(text)

    assert b"given:" in text and b"given:" not in left
    assert [now for now, was in zip(left.split(b"\n"), text.split(b"\n"), strict=True) if now not in (b"", was)] == []

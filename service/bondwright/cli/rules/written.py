"""Rules, tables and values as they are written in a pack: their lines, key by key."""

import re

from bondwright.rulebook.facts import Place
from bondwright.rulebook.pack import RulePack
from bondwright.shelf.words.reading import as_said


def written(pack: RulePack, place: Place) -> list[str]:
    """The lines of what stands at `place` of the pack's file: that line, and those below it that stand further in, with texts for codes."""
    lines = as_said(pack.text)[place.line - 1 :]
    depth = _depth(lines[0])
    block = [lines[0]]
    for line in lines[1:]:
        if line.strip() and _depth(line) <= depth:
            break
        block.append(line)
    while not block[-1].strip():
        block.pop()
    return [line[depth:] for line in block]


def written_under(block: list[str], key: str) -> str:
    """What the block says under `key`, on one line; empty when it does not say that key in a line of its own."""
    found: list[str] = []
    depth = -1
    for line in block:
        if match := re.match(rf"(\s*(?:- )?){key}: ?(.*)", line):
            depth, found = len(match[1]), [match[2]]
        elif found and _depth(line) > depth:
            found.append(line.strip())
        elif found:
            break
    return " ".join(found)


def expecting(line: str, outcome: str, field: str, value: str) -> str | None:
    """The line of an example with another expectation; None where the line does not hold that expectation whole.

    `field`: empty for the level or size that is the worst case.
    """
    inside = rf"(expect: .*?\b{outcome}: \{{[^}}]*?\b{field or 'worst_case'}: )[^,}} ]+"
    alone = rf"(expect: .*?\b{outcome}: )[^{{,}} ]+"
    for pattern in (inside,) if field else (inside, alone):
        if re.search(pattern, line):
            return re.sub(pattern, rf"\g<1>{value}", line, count=1)
    return None


def _depth(line: str) -> int:
    return len(line) - len(line.lstrip(" "))

"""The page of an answer taken apart again: its blocks by what they are about, each with its rows."""

import re
from collections.abc import Mapping

_LABEL = re.compile(r"  (\S.{13}) (.*)")
_POSSIBLE = re.compile(r" \(until more is known[^)]*\)")
_CODE = re.compile(r"\bcode ([A-Z][A-Z0-9]*)\b")
JUDGING = ("Verdict", "Report", "Bond there", "Reading", "Test to make")
"""Labels of the rows in which the page says what was judged; the others give reasons, questions and ways out."""


def blocks(page: str) -> list[str]:
    """The blocks of a page, which stand apart by an empty line."""
    return page.split("\n\n")


def flat(text: str) -> str:
    """A text without the breaks of its lines."""
    return " ".join(text.split())


def rows(block: str) -> Mapping[str, str]:
    """What a block says under each label, rows of one label after another; continued lines belong to the row above."""
    found: dict[str, str] = {}
    label = ""
    for line in block.splitlines():
        labelled = _LABEL.fullmatch(line)
        if labelled:
            label, line = labelled[1].strip(), labelled[2]
        if label:
            found[label] = f"{found.get(label, '')} {line.strip()}".strip()
    return found


def judged(block: str) -> str:
    """What a block says was judged, on one line, less what it adds about what is possible."""
    return _POSSIBLE.sub("", " | ".join(text for label, text in rows(block).items() if label in JUDGING))


def codes(text: str) -> set[str]:
    """The codes that a text names."""
    return set(_CODE.findall(text))


def about(page: str, name: str, pointer: str) -> str:
    """What the blocks about something say was judged: those whose title names it with its place in the description."""
    title = f"{name} [{pointer}]"
    counted = re.compile(re.escape(name) + r", \d+ of them " + re.escape(f"[{pointer}]"))
    texts = []
    for block in blocks(page):
        first = flat(block.split("\n  Verdict ", 1)[0])
        if title in first or counted.search(first):
            texts.append(judged(block))
    return " | ".join(texts)

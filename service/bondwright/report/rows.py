"""Rows of a page of plain text: a label, and text wrapped beside it."""

from collections.abc import Iterable, Iterator
from textwrap import fill

WIDTH = 100
"""Columns of the page; only a word longer than a line goes beyond."""

_LABEL = 14


def plain(word: str) -> str:
    """A word of the answer as people write it."""
    return word.replace("_", " ")


def rows(label: str, texts: Iterable[str]) -> Iterator[str]:
    """One row a text; the label stands at the first alone."""
    for number, text in enumerate(texts):
        yield row("" if number else label, text)


def row(label: str, text: str) -> str:
    """A labelled text, wrapped under itself."""
    return wrapped(text, f"  {label:<{_LABEL}} ")


def wrapped(text: str, lead: str = "") -> str:
    """A text at most WIDTH columns wide, its first line after `lead`."""
    if len(lead) + len(text) <= WIDTH and text.isprintable() and text.strip():
        return f"{lead}{text.rstrip()}"  # most texts fit on a line, and wrapping took half the time of a page (2026-11-29)
    return fill(text, WIDTH, initial_indent=lead, subsequent_indent=" " * (len(lead) or 2), break_long_words=False, break_on_hyphens=False)

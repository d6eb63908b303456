"""The shape of the page for the site: sections in reading order, each a few entries; fewer where it would be too long for a site."""

from collections.abc import Callable, Collection, Iterator
from typing import Final

from msgspec import Struct

from bondwright.members import replace

MOST_WORDS: Final = 450
"""On the page of a house."""
_LEFT_ALONE = ("kept", "covered", "free")
"""Sections of what nothing is done about."""


class Calls(Struct, frozen=True):
    """How whoever reads the page asks for more: every reason of one thing, and the whole answer."""

    why: str
    full: str


class Entry(Struct, frozen=True):
    """One thing said on the page.

    `about`: ids of the parts, locations or circuits that it is about. `code`: of an inspection, before all else. `clause`: the clauses
    behind it. `then`: what stands below it; `joins`: below that, what is joined and its least sizes. `blanks`: what
    is left to be written in, a label each. `why`: the reason, behind the text.
    """

    text: str
    about: tuple[str, ...] = ()
    code: str = ""
    clause: str = ""
    then: tuple[str, ...] = ()
    blanks: tuple[str, ...] = ()
    why: str = ""
    joins: tuple[str, ...] = ()


class Section(Struct, frozen=True):
    """Entries under one heading. `name`: which section it is; `label`: its heading; `numbered`: whether entries are counted."""

    name: str
    label: str
    entries: tuple[Entry, ...]
    numbered: bool = False


class Page(Struct, frozen=True):
    """What one person needs on site, first things first.

    `keep_off`: what comes above everything, where what is described may be live. `title`: whose installation, day and edition. `opening`:
    what the page is for, by the kind of work. `foot`: pack and digest.
    """

    keep_off: tuple[str, ...]
    title: str
    opening: str
    sections: tuple[Section, ...]
    foot: str

    def section(self, name: str) -> tuple[Entry, ...]:
        """The entries of a section; none where it is not on the page."""
        return next((section.entries for section in self.sections if section.name == name), ())


def shortened(page: Page, undecided: Collection[str]) -> Page:
    """The page without so much of what can wait that it is short enough; whole, where even that would not do.

    `undecided`: ids of what is measured, looked at or asked first. In this order go: tests of what comes of that, clauses of what is left
    alone, why no bond is needed, rows of the form for what comes of that, what a high reading means, least sizes of the connections in
    locations. No act, code, name or question goes.
    """
    steps: tuple[Callable[[str, Entry], Entry | None], ...] = (
        lambda section, entry: None if section == "test" and _waits(entry, undecided) else entry,
        lambda section, entry: replace(entry, clause="") if section in _LEFT_ALONE else entry,
        lambda section, entry: replace(entry, why="") if section == "free" else entry,
        lambda section, entry: None if section == "record" and entry.blanks and _waits(entry, undecided) else entry,
        lambda section, entry: entry if section != "test" or entry.about else None,
        lambda _, entry: replace(entry, joins=()),
    )
    shorter = page
    for step in steps:
        if _words(shorter) <= MOST_WORDS:
            return shorter
        shorter = _stepped(shorter, step)
    return shorter if _words(shorter) <= MOST_WORDS else page


def _stepped(page: Page, step: Callable[[str, Entry], Entry | None]) -> Page:
    sections = []
    for section in page.sections:
        entries = tuple(left for entry in section.entries if (left := step(section.name, entry)) is not None)
        if any(entry.about for entry in entries) or entries == section.entries:  # what stands there besides says something of these
            sections.append(replace(section, entries=entries))
    return replace(page, sections=tuple(sections))


def _waits(entry: Entry, undecided: Collection[str]) -> bool:
    return bool(entry.about) and all(one in undecided for one in entry.about)


def _words(page: Page) -> int:
    return sum(len(text.split()) for text in _texts(page))


def _texts(page: Page) -> Iterator[str]:
    yield from (*page.keep_off, page.title, page.opening, page.foot)
    for section in page.sections:
        yield section.label
        for number, entry in enumerate(section.entries, start=1):
            if section.numbered and entry.about:
                yield f"{number}."
            yield from (entry.code, entry.text, entry.why, entry.clause, *entry.then, *entry.joins)
            yield from (f"{label} _" for label in entry.blanks)

"""The shape of the page for the site: sections in reading order, each a few entries."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Calls:
    """How whoever reads the page asks for more: every reason of one thing, and the whole answer."""

    why: str
    full: str


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing said on the page.

    `about`: ids of the parts, locations or circuits that it is about. `code`: of an inspection, before all else. `clause`: the clauses
    behind it. `then`: what stands below it. `blanks`: what is left to be written in, a label each.
    """

    text: str
    about: tuple[str, ...] = ()
    code: str = ""
    clause: str = ""
    then: tuple[str, ...] = ()
    blanks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Section:
    """Entries under one heading. `name`: which section it is; `label`: its heading; `numbered`: whether entries are counted."""

    name: str
    label: str
    entries: tuple[Entry, ...]
    numbered: bool = False


@dataclass(frozen=True, slots=True)
class Page:
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

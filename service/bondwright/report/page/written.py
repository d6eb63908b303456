"""Texts of an evaluation that can be asked for: the page for the site, everything behind one thing, the whole answer."""

from collections.abc import Iterator

from msgspec import Struct

from bondwright.compose.answer import Evaluation
from bondwright.installation.description import Installation
from bondwright.report.page.made import page_of
from bondwright.report.page.shape import Calls, Entry, Page, Section
from bondwright.report.page.why import why_text
from bondwright.report.rows import row, wrapped
from bondwright.report.text import evaluation_text
from bondwright.rulebook.pack import RulePack

_BLANK = "______"


class Asked(Struct, frozen=True):
    """`why`: the name of one thing with everything behind it; `whole`: the whole answer; with neither, the page for the site."""

    why: str | None = None
    whole: bool = False


def asked_text(evaluation: Evaluation, installation: Installation, pack: RulePack, asked: Asked, calls: Calls) -> str | None:
    """The text that is asked for; none where nothing has the name. `calls`: how the page says that more is asked for."""
    if asked.whole:
        return evaluation_text(evaluation, pack.say)
    if asked.why is not None:
        return why_text(evaluation, installation, pack, asked.why)
    return page_text(page_of(evaluation, installation, pack, calls))


def page_text(page: Page) -> str:
    """The page, its sections in order, at most WIDTH columns wide."""
    lines = [*(wrapped(one) for one in page.keep_off), wrapped(page.title), wrapped(page.opening)]
    for section in page.sections:
        lines += _section(section)
    return "\n".join([*lines, wrapped(page.foot)]) + "\n"


def _section(section: Section) -> Iterator[str]:
    label = section.label
    for number, entry in enumerate(section.entries, start=1):
        counted = f"{number}. " if section.numbered and entry.about else ""
        for text in _rows(entry, counted):
            yield row(label, text)
            label = ""


def _rows(entry: Entry, counted: str) -> Iterator[str]:
    code = f"{entry.code} " if entry.code else ""
    clause = f" [{entry.clause}]" if entry.clause else ""
    blanks = "".join(f" {name} {_BLANK}" if name else f" {_BLANK}" for name in entry.blanks)
    why = f" {entry.why}" if entry.why else ""
    yield f"{counted}{code}{entry.text}{why}{clause}{blanks}"
    yield from (*entry.then, *entry.joins)

"""Lines and words of pages: `uv run python -m tests.pages.measured` prints those of twenty installations, whole answer and page."""

import statistics
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.pages.installations import BLOCK, twenty

from bondwright.assembly import build
from bondwright.assembly.judging import Evaluated
from bondwright.report.page.made import page_of
from bondwright.report.page.shape import Calls, Page
from bondwright.report.page.written import page_text
from bondwright.report.text import evaluation_text
from bondwright.settings import Settings

CALLS = Calls("--why NAME", "--full")


@dataclass(frozen=True, slots=True)
class Measured:
    """The whole answer and the page of one installation."""

    name: str
    whole: str
    page: str


def made(evaluated: Evaluated) -> Page:
    """The page of what was evaluated."""
    return page_of(evaluated.evaluation, evaluated.installation, evaluated.pack, CALLS)


def measured() -> Iterator[Measured]:
    """Those of each of the twenty."""
    with TemporaryDirectory() as folder, closing(build(Settings(Path(folder)))) as service:
        for name, raw in twenty().items():
            evaluated = service.evaluate(raw)
            yield Measured(name, evaluation_text(evaluated.evaluation, evaluated.pack.say), page_text(made(evaluated)))


def size(text: str) -> tuple[int, int]:
    """Lines and words."""
    return len(text.splitlines()), len(text.split())


def main() -> None:
    """Print the table."""
    found = [(one.name, size(one.whole), size(one.page)) for one in measured()]
    print(f"{'whole answer':>26} {'page':>16}\n{'lines':>12} {'words':>13} {'lines':>8} {'words':>7}")
    for name, whole, page in found:
        print(f"{whole[0]:12} {whole[1]:13} {page[0]:8} {page[1]:7}  {name}")
    for what, some in (("houses", [one for one in found if one[0] != BLOCK]), ("all", found)):
        columns = [*zip(*((*whole, *page) for _, whole, page in some), strict=True)]
        for told, figure in (("median", statistics.median), ("largest", max)):
            print(f"{figure(columns[0]):12g} {figure(columns[1]):13g} {figure(columns[2]):8g} {figure(columns[3]):7g}  {told} of {what}")


if __name__ == "__main__":
    main()

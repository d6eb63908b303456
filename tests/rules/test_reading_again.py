"""What is read again after a change is what reading the whole would give, place for place, and refused in the same words."""

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.cli.small_rules import BASE, FILES

from bondwright.errors import UnreadableRules
from bondwright.rulebook.facts import Place
from bondwright.shelf.drafts.rereading import _reread, edited, reread
from bondwright.shelf.lines import Line, lines_of, read_lines
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.reading.nodes import Map

SMALL = lines_of(FILES[f"{BASE}.yaml"].encode(), "small.yaml")
LARGE = lines_of((rules_folder() / "bs7671" / "2018.yaml").read_bytes(), "large.yaml")
WHOLE = read_lines(LARGE)
STRANGE = [Line(text, Place("new.yaml", 1, 1)) for text in ("", "extra: here", "---", "  - id: one", "# a word")]
BROUGHT = st.sampled_from([*SMALL, *STRANGE])


def outcome(lines: tuple[Line, ...], before: Map | None = None, where: slice = slice(0), by: int = 0) -> Map | str:
    """The map that the lines hold, or the refusal; read whole, where nothing is said of what stood there before."""
    try:
        return read_lines(lines) if before is None else reread(lines, before, where, by)
    except UnreadableRules as error:
        return str(error)


def spliced(lines: tuple[Line, ...], start: int, length: int, brought: list[Line]) -> tuple[tuple[Line, ...], slice]:
    """The lines with some replaced, and which."""
    where = slice(start, min(start + length, len(lines)))
    return (*lines[: where.start], *brought, *lines[where.stop :]), where


@settings(max_examples=300)
@given(st.integers(0, len(SMALL) - 1), st.integers(0, 12), st.lists(BROUGHT, max_size=12))
def test_after_any_change_it_is_as_if_the_whole_were_read(start: int, length: int, brought: list[Line]) -> None:
    lines, where = spliced(SMALL, start, length, brought)

    assert outcome(lines, read_lines(SMALL), where, len(lines) - len(SMALL)) == outcome(lines)


@settings(max_examples=15)
@given(st.integers(0, len(LARGE) - 1), st.integers(0, 3), st.integers(0, len(LARGE) - 1), st.integers(0, 3))
def test_so_it_is_in_an_edition_of_this_installation(start: int, length: int, taken: int, several: int) -> None:
    lines, where = spliced(LARGE, start, length, list(LARGE[taken : taken + several]))

    assert outcome(lines, WHOLE, where, len(lines) - len(LARGE)) == outcome(lines)


@settings(max_examples=200)
@given(st.lists(st.tuples(st.integers(0, len(SMALL) - 1), st.integers(0, 12), st.lists(BROUGHT, max_size=6)), max_size=6))
def test_several_changes_at_once_are_as_one_after_the_other(changes: list[tuple[int, int, list[Line]]]) -> None:
    edits, above = [], len(SMALL)
    for start, length, brought in sorted(changes, key=lambda change: change[0], reverse=True):
        if start <= above:
            edits.append((slice(start, min(start + length, above)), brought))
            above = start
    lines = SMALL
    for where, brought in edits:
        lines = (*lines[: where.start], *brought, *lines[where.stop :])

    try:
        made: tuple[tuple[Line, ...], Map | str] = edited(SMALL, read_lines(SMALL), edits)
    except UnreadableRules as error:
        made = (lines, str(error))

    assert made == (lines, outcome(lines))


def test_a_text_of_one_rule_is_replaced_without_reading_the_others() -> None:
    place = next(number for number, line in enumerate(SMALL) if "says: " in line.text)
    lines, where = spliced(SMALL, place, 1, [Line('    says: "Another."', Place("new.yaml", 1, 1))])
    before = read_lines(SMALL)

    read = _reread(lines, before, where, 0)

    assert read == read_lines(lines)
    assert read is not None and read.entries["tables"] is before.entries["tables"]

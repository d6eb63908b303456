"""`bondwright rules set-cell` of printed numbers, of properties and of values: the same questions, refusals and undoing as of a table."""

import io
import sys
from pathlib import Path
from typing import NamedTuple

import pytest
from tests.cli.small_rules import AMENDMENT, FILES, excused, publish

from bondwright.cli import main
from bondwright.shelf.packs import draft_pack

RESTS = ("--clause", "Table 6", "--source", "small-book", "--kind", "stated", "--confidence", "secondary", "--checked-on", "2026-11-25")
REFERENCES = """\
references:
  wire-resistance:
    title: "Resistance of a wire"
    clause: "Table 6"
    by: {metal: choice, size_mm2: mm2}
    gives: {resistance: ohm}
    sources:
      printed: {from: small-book, kind: stated, confidence: checked_once}
      guessed: {from: small-book, kind: common_practice, confidence: from_memory}
    rows:
      - [copper, 1, 18.1, printed]     # the thin one
      - [copper, 1.5, 12.1, printed]
      - [steel, 1, 140, guessed]
  temperature:
    title: "Temperature at which it is printed"
    clause: "Table 6"
    by: {}
    gives: {temperature: V}
    sources: {printed: {from: small-book, kind: stated, confidence: checked_once}}
    rows: [[20, printed]]
"""
PROPERTIES = """\
properties:
  metals:
    copper: {conducts: yes, words: "copper, as drawn", least: 6 mm2}
    plastic: {conducts: no, words: "plastic", least: 10 mm2}
  rooms:
    sauna: {judged: no, section: "703", source: small-book, basis: our_reading, confidence: from_memory}
"""


@pytest.fixture
def more(rules: Path) -> Path:
    """The small rules with printed numbers, properties and a rule that rests on a value."""
    (rules / "reference.yaml").write_text(REFERENCES, encoding="utf-8")
    (rules / "materials.yaml").write_text(PROPERTIES, encoding="utf-8")
    base = FILES["book/first.yaml"].replace(
        "sizes: {bond_size: {table: bond-by-neutral}}", "sizes: {bond_size: {largest_of: [{value: least}, {table: bond-by-neutral}]}}"
    )
    (rules / "book/first.yaml").write_text(base, encoding="utf-8")
    return rules


def setting(rules: Path, what: str, value: str, *options: str, again: str | None = None) -> int:
    """The exit status of setting what the words name to a value."""
    typed = ("--value", value, "--again", value if again is None else again, *RESTS, "--confirm-examples", *options)
    return main(["rules", "set-cell", AMENDMENT, *what.split(), *typed, "--rules", str(rules)])


def text(rules: Path) -> str:
    """What stands in the file of the amendment."""
    return (rules / f"{AMENDMENT}.yaml").read_text(encoding="utf-8")


class Setting(NamedTuple):
    """What is named, what stands there and what is to; what is printed first, the change that is written, the difference that is told."""

    what: str
    was: str
    now: str
    asked: str
    change: str
    told: str
    third: str = "30"


CELLS = {
    "a printed number": Setting(
        "wire-resistance copper 1.5",
        "12.1",
        "12.2",
        "reference table wire-resistance (Table 6): for copper, 1.5 mm2 it says 12.1 ohm now",
        "- set_cell: {reference: wire-resistance, row: [copper, 1.5], was: 12.1, now: 12.2, clause: ",
        "reference table wire-resistance: row copper, 1.5: was 12.1 (small-book, stated, checked_once); "
        "now 12.2 (small-book, stated, secondary)",
    ),
    "the one number of a table": Setting(
        "temperature",
        "20",
        "25",
        "reference table temperature (Table 6): it says 20 V now",
        "- set_cell: {reference: temperature, row: [], was: 20, now: 25, clause: ",
        "reference table temperature: row: was 20 (small-book, stated, checked_once); now 25 (small-book, stated, secondary)",
    ),
    "a word of a property": Setting(
        "metals plastic conducts",
        "no",
        "unknown",
        "property metals, row plastic: conducts says no now",
        "- set_cell: {property: metals, row: plastic, column: conducts, was: no, now: unknown, clause: ",
        "property metals: plastic conducts: was no; now unknown",
        "yes",
    ),
    "a text of a property": Setting(
        "metals copper words",
        "copper, as drawn",
        "copper: drawn",
        "property metals, row copper: words says copper, as drawn now",
        '- set_cell: {property: metals, row: copper, column: words, was: "copper, as drawn", now: "copper: drawn", clause: ',
        "property metals: copper words: was copper, as drawn; now copper: drawn",
        "bare copper",
    ),
    "a number of a property": Setting(
        "metals copper least",
        "6",
        "10",
        "property metals, row copper: least says 6 mm2 now",
        "- set_cell: {property: metals, row: copper, column: least, was: 6 mm2, now: 10 mm2, clause: ",
        "property metals: copper least: was 6 mm2; now 10 mm2",
    ),
    "a value": Setting(
        "least",
        "6",
        "16",
        "value least (544.1): it says 6 mm2 now",
        "- set_value: {name: least, was: 6 mm2, now: 16 mm2, clause: ",
        "value least: value: was 6 mm2; now 16 mm2",
    ),
    "a cell of a table of limits": Setting(
        "bond-by-neutral 50",
        "16",
        "20",
        "table bond-by-neutral (Table 5): up to 50 mm2 it says 16 mm2 now",
        "- set_cell: {table: bond-by-neutral, up_to: 50, was: 16, now: 20, clause: ",
        "table bond-by-neutral: row up to 50: was 16; now 20",
        "22",
    ),
}


@pytest.mark.parametrize("kind", CELLS)
def test_what_is_set_is_written_with_what_stood_there_and_told(kind: str, more: Path, capsys: pytest.CaptureFixture[str]) -> None:
    one = CELLS[kind]

    status = setting(more, one.what, one.now)

    out = capsys.readouterr().out
    assert status == 0
    assert out.splitlines()[0] == one.asked
    assert f"  # checked on 2026-11-25; the entry was typed twice\n  {one.change}" in text(more)
    assert f"\n  {one.told}\n" in out


@pytest.mark.parametrize("kind", CELLS)
def test_set_back_it_leaves_the_file_as_it_was(kind: str, more: Path) -> None:
    setting(more, CELLS[kind].what, CELLS[kind].now)
    changed = text(more)

    status = setting(more, CELLS[kind].what, CELLS[kind].was)

    assert status == 0
    assert changed != text(more) == FILES[f"{AMENDMENT}.yaml"]


@pytest.mark.parametrize("kind", CELLS)
def test_set_twice_it_is_changed_once(kind: str, more: Path) -> None:
    one = CELLS[kind]
    setting(more, one.what, one.now)
    once = text(more)

    status = setting(more, one.what, one.third)

    assert status == 0
    assert text(more) != once
    assert text(more).count("set_") == 1
    assert one.change.partition(", now:")[0] in text(more)


@pytest.mark.parametrize("kind", CELLS)
def test_the_same_again_is_refused(kind: str, more: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = setting(more, CELLS[kind].what, CELLS[kind].was)

    assert status == 2
    assert "the change changes nothing" in capsys.readouterr().err
    assert text(more) == FILES[f"{AMENDMENT}.yaml"]


@pytest.mark.parametrize("kind", CELLS)
def test_two_entries_that_differ_are_refused(kind: str, more: Path, capsys: pytest.CaptureFixture[str]) -> None:
    now = CELLS[kind].now

    status = setting(more, CELLS[kind].what, now, again=f"{now}0")

    assert status == 2
    assert f"the two entries differ, `{now}` and `{now}0`; nothing was written" in capsys.readouterr().err


def test_the_same_number_in_other_digits_sets_it_back_too(more: Path) -> None:
    setting(more, "least", "16")

    setting(more, "least", "6.0")

    assert text(more) == FILES[f"{AMENDMENT}.yaml"]


def test_a_number_of_the_same_source_keeps_its_mark(more: Path) -> None:
    typed = ("--confidence", "checked_once")

    setting(more, "wire-resistance copper 1.5", "12.2", *typed)

    table = draft_pack(more, AMENDMENT).references["wire-resistance"]
    lines = draft_pack(more, AMENDMENT).text.decode()
    assert table.cell("copper", 1.5).value == 12.2
    assert "- [copper, 1.5, 12.2, printed]" in lines
    assert "- [copper, 1, 18.1, printed]     # the thin one" in lines


def test_a_number_of_another_source_gets_a_mark_of_its_own(more: Path) -> None:
    setting(more, "wire-resistance copper 1.5", "12.2")

    lines = draft_pack(more, AMENDMENT).text.decode()
    assert "- [copper, 1.5, 12.2, small_book_secondary]" in lines
    assert "      small_book_secondary: {from: small-book, kind: stated, confidence: secondary}\n" in lines
    assert draft_pack(more, AMENDMENT).references["wire-resistance"].cell("copper", 1).confidence == "checked_once"


def test_a_row_that_says_on_what_it_rests_says_so_of_its_new_word(more: Path) -> None:
    status = setting(more, "rooms sauna section", "704", "--confidence", "from_memory")

    assert status == 0
    row = draft_pack(more, AMENDMENT).properties["rooms"]["sauna"]
    assert row == {"judged": "no", "section": "704", "source": "small-book", "basis": "stated", "confidence": "from_memory"}


def test_a_value_that_decides_examples_asks_for_each(more: Path, capsys: pytest.CaptureFixture[str]) -> None:
    setting(more, "least", "16")

    assert "an example of rule bond-size comes out otherwise: bond_size was 10 and is 16 now, for" in capsys.readouterr().out
    assert dict(draft_pack(more, AMENDMENT).examples["bond-size"][0].expect)["bond_size"] == "16.0"


def test_what_is_not_given_is_asked_for_in_the_unit_of_the_number(
    more: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    answers = ("12,2", "12.2", "12.2", "Table 6", "small-book", "stated", "secondary", "2026-11-25")
    monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in answers)))

    status = main(["rules", "set-cell", AMENDMENT, "wire-resistance", "copper", "1.5", "--rules", str(more)])

    out = capsys.readouterr().out
    assert status == 0
    assert "new entry in ohm: " in out
    assert "write digits with a dot, such as `1.5`" in out


def test_what_was_set_is_published_once_it_has_its_reason_and_followed_by_its_name(more: Path, capsys: pytest.CaptureFixture[str]) -> None:
    publish(more)
    setting(more, "wire-resistance copper 1.5", "12.2")
    refused = publish(more)
    out = capsys.readouterr().out
    excused(more, AMENDMENT, "book-second-r1", "change", "reference table wire-resistance")

    status = publish(more)

    assert (refused, status) == (1, 0)
    assert "reference table wire-resistance changed, and which way it goes cannot be worked out; no reason is given for it" in out
    main(["rules", "history", "wire-resistance", "--rules", str(more)])
    told = capsys.readouterr().out
    assert (
        "book-second-r2 (usable from 2022-01-01, no end set): changed\n  reference table wire-resistance: row copper, 1.5: was 12.1" in told
    )
    assert "reference table wire-resistance changed since book-second-r1, because: The book says so now." in told


REFUSALS = {
    "an unknown name": (
        "wire-resistence copper 1",
        "1",
        (),
        "table or property `wire-resistence`; did you mean `wire-resistance`?",
    ),
    "a rule": ("bond-size", "1", (), "`bond-size` is a rule; what it says is changed in the file"),
    "a key too few": (
        "wire-resistance copper",
        "1",
        (),
        "is read by `metal` and `size_mm2`; behind `copper` it has `1`, `1.5`",
    ),
    "a key too many": (
        "wire-resistance copper 1 2",
        "1",
        (),
        "is read by `metal` and `size_mm2`; leave out `2`",
    ),
    "an unknown key": ("wire-resistance coper 1", "1", (), "reference table `wire-resistance` has no row `coper`; did you mean `copper`?"),
    "an unknown number": (
        "wire-resistance copper 2",
        "1",
        (),
        "has no row `copper`, `2`; behind `copper` it has `1`, `1.5`",
    ),
    "a value with a key": ("least 6", "1", (), "value `least` is one number; leave out `6`"),
    "a property without a column": (
        "metals copper",
        "yes",
        (),
        "`row` and `column`; behind `copper` it has `conducts`, `words`, `least`",
    ),
    "an unknown row": ("metals coper conducts", "yes", (), "property `metals` has no row `coper`; did you mean `copper`?"),
    "an unknown column": (
        "metals copper conduct",
        "yes",
        (),
        "of property `metals` has no `conduct`; did you mean `conducts`?",
    ),
    "a comma": ("wire-resistance copper 1", "1,5", (), "`1,5` is no number as rule files write one"),
    "a unit": ("least", "16 mm2", (), "`16 mm2` is no number as rule files write one"),
    "a quotation mark": ("metals copper words", 'so "it" is', (), "without quotation marks"),
    "an unknown source": ("metals copper words", "bare", ("--source", "smal-book"), "did you mean `small-book`?"),
    "a table without its limit": ("bond-by-neutral", "20", (), "table `bond-by-neutral` is read by `neutral`; it has `35`, `50`, `above`"),
    "a row made better by one word": (
        "rooms sauna section",
        "704",
        ("--confidence", "checked_once"),
        "the row's other cells are `from_memory`; one cell cannot make it `checked_once`",
    ),
}


@pytest.mark.parametrize(("what", "value", "options", "words"), REFUSALS.values(), ids=REFUSALS)
def test_a_refused_change_is_not_written(
    more: Path, capsys: pytest.CaptureFixture[str], what: str, value: str, options: tuple[str, ...], words: str
) -> None:
    status = setting(more, what, value, *options)

    err = capsys.readouterr().err
    assert status == 2
    assert words in err
    assert text(more) == FILES[f"{AMENDMENT}.yaml"]


@pytest.mark.parametrize(
    ("name", "title", "place"),
    [
        ("metals", "property metals", "materials.yaml:2"),
        ("wire-resistance", "reference table wire-resistance", "reference.yaml:2"),
        ("ground", "fact ground", "vocabulary.yaml:3"),
        ("joined", "list of joined", "outcomes.yaml:9"),
        ("small-book", "source small-book", "sources.yaml:2"),
    ],
)
def test_whatever_has_a_name_is_shown_as_the_files_of_an_edition_stand(
    name: str, title: str, place: str, more: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    publish(more)
    capsys.readouterr()

    status = main(["rules", "show", name, "--pack", AMENDMENT, "--rules", str(more)])

    out = capsys.readouterr().out
    assert status == 0
    assert out.startswith(f"{title} in book-second-r1 (BOOK 1:2020+A1:2022, ")
    assert f"\n  place:    {place}\n" in out
    assert f"    {name}:" in out


def test_the_history_of_what_no_pack_has_offers_the_nearest_name(more: Path, capsys: pytest.CaptureFixture[str]) -> None:
    publish(more)

    status = main(["rules", "history", "wire-resistence", "--rules", str(more)])

    assert status == 2
    assert "`wire-resistence`; did you mean `wire-resistance`?" in capsys.readouterr().err

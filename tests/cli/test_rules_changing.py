"""`bondwright rules amend` and `set-cell`: a change of the rules by somebody who does not program."""

import io
import sys
from pathlib import Path

import pytest
from tests.cli.small_rules import AMENDMENT, BASE, FILES, excused, publish

from bondwright.cli import main
from bondwright.shelf.packs import draft_pack

RESTS = ("--clause", "Table 5", "--source", "small-book", "--kind", "stated", "--confidence", "secondary")
TWENTY = ("--value", "20", "--again", "20", *RESTS, "--checked-on", "2026-11-25", "--confirm-examples")


def set_cell(rules: Path, *options: str, edition: str = AMENDMENT, table: str = "bond-by-neutral", up_to: str = "50") -> int:
    """The exit status of setting a cell."""
    return main(["rules", "set-cell", edition, table, up_to, *options, "--rules", str(rules)])


def text(rules: Path, edition: str = AMENDMENT) -> str:
    """What stands in the file of an edition."""
    return (rules / f"{edition}.yaml").read_text(encoding="utf-8")


def answer(monkeypatch: pytest.MonkeyPatch, *lines: str) -> None:
    """Types these lines on the terminal."""
    monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines)))


def test_a_cell_gets_its_new_entry(rules: Path) -> None:
    status = set_cell(rules, *TWENTY)

    assert status == 0
    assert [row.use for row in draft_pack(rules, AMENDMENT).tables["bond-by-neutral"].rows] == [10, 20, 25]


def test_the_change_states_what_stood_there(rules: Path) -> None:
    set_cell(rules, *TWENTY)

    cell = '{table: bond-by-neutral, up_to: 50, was: 16, now: 20, clause: "Table 5", '
    assert f"  - set_cell: {cell}source: {{from: small-book, kind: stated, confidence: secondary}}}}\n" in text(rules)
    assert "  # checked on 2026-11-25; the entry was typed twice\n" in text(rules)


def test_everything_else_in_the_file_survives(rules: Path) -> None:
    set_cell(rules, *TWENTY)

    lines = iter(text(rules).splitlines())
    assert all(line in lines for line in FILES[f"{AMENDMENT}.yaml"].splitlines())


def test_the_base_is_left_as_it_is(rules: Path) -> None:
    set_cell(rules, *TWENTY)

    assert text(rules, BASE) == FILES[f"{BASE}.yaml"]


def test_the_examples_that_the_cell_decides_are_brought_up_to_date(rules: Path) -> None:
    set_cell(rules, *TWENTY)

    examples = draft_pack(rules, AMENDMENT).examples["bond-size"]
    assert [dict(example.expect)["bond_size"] for example in examples[:4]] == ["10.0", "20.0", "20.0", "25.0"]


def test_what_was_set_can_be_published(rules: Path) -> None:
    set_cell(rules, *TWENTY)

    assert publish(rules) == 0


def test_what_changed_is_printed(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    set_cell(rules, *TWENTY)

    out = capsys.readouterr().out
    assert out.startswith("table bond-by-neutral (Table 5): up to 50 mm2 it says 16 mm2 now\n")
    assert "\n  table bond-by-neutral: row up to 50: was 16; now 20\n" in out
    assert "\n  bondwright rules diff book/first book/second\n" in out


def test_a_cell_can_be_set_back(rules: Path) -> None:
    set_cell(rules, *TWENTY)

    status = set_cell(rules, "--value", "16", "--again", "16", *RESTS, "--confirm-examples")

    assert status == 0
    assert [row.use for row in draft_pack(rules, AMENDMENT).tables["bond-by-neutral"].rows] == [10, 16, 25]
    assert publish(rules) == 0


def back(rules: Path, edition: str = AMENDMENT) -> int:
    """The exit status of setting the cell to what its base says."""
    return set_cell(rules, "--value", "16", "--again", "16", *RESTS, "--confirm-examples", edition=edition)


def test_a_cell_that_is_set_back_leaves_the_file_as_it_was(rules: Path) -> None:
    set_cell(rules, *TWENTY)
    changed = text(rules)

    back(rules)

    assert "change: {example: bond-size}" in changed
    assert text(rules) == FILES[f"{AMENDMENT}.yaml"]


def test_so_does_one_of_an_edition_that_is_published(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    publish(rules)
    before = text(rules)
    set_cell(rules, *TWENTY)
    changed = text(rules)

    back(rules)

    assert "it says again what book-second-r1 says; nothing is left to be done" in capsys.readouterr().out
    assert "id: book-second-r2" in changed
    assert text(rules) == before


def test_a_cell_that_is_set_twice_is_changed_once(rules: Path) -> None:
    set_cell(rules, *TWENTY)
    once = text(rules)

    set_cell(rules, "--value", "21", "--again", "21", *RESTS, "--confirm-examples", "--checked-on", "2026-11-25")

    assert text(rules) == once.replace("now: 20,", "now: 21,").replace("bond_size: 20}", "bond_size: 21}").replace(
        "worst_case: 20,", "worst_case: 21,"
    )


def test_in_an_amendment_that_was_just_opened_too(rules: Path) -> None:
    filled_in(opened(rules))
    before = text(rules, "book/third")
    set_cell(rules, *TWENTY, edition="book/third")

    back(rules, edition="book/third")

    assert text(rules, "book/third") == before


def test_the_last_row_can_be_set(rules: Path) -> None:
    status = set_cell(rules, "--value", "35", "--again", "35", *RESTS, "--confirm-examples", up_to="above")

    assert status == 0
    assert draft_pack(rules, AMENDMENT).tables["bond-by-neutral"].rows[-1].use == 35


def test_a_published_pack_gets_the_next_revision(rules: Path) -> None:
    publish(rules)

    set_cell(rules, *TWENTY)

    assert draft_pack(rules, AMENDMENT).pack_id == "book-second-r2"


def test_the_next_revision_begins_without_the_reasons_of_the_step_before(rules: Path) -> None:
    publish(rules, BASE)
    excused(rules, AMENDMENT, "book-first-r1", "outcome", "bond_size")
    draft = set_cell(rules, *TWENTY), "lenient:" in text(rules)
    excused(rules, AMENDMENT, "book-first-r1", "change", "value least")
    (rules / "published.lock").write_text(f"book-second-r1 {'0' * 64} 2026-11-25\n", encoding="utf-8")

    again = set_cell(rules, "--value", "21", "--again", "21", *RESTS, "--confirm-examples")

    assert (draft, again) == ((0, True), 0)
    assert "id: book-second-r2" in text(rules)
    assert "lenient" not in text(rules)


def test_an_unpublished_pack_keeps_its_revision(rules: Path) -> None:
    set_cell(rules, *TWENTY)

    assert draft_pack(rules, AMENDMENT).pack_id == "book-second-r1"


def test_what_is_not_given_is_asked_for(rules: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    answer(monkeypatch, "20", "20", "Table 5", "small-book", "stated", "secondary", "2026-11-25", "yes", "yes")

    status = set_cell(rules)

    assert status == 0
    assert "was: 16, now: 20" in text(rules)


def test_a_wrong_answer_is_asked_for_again(rules: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    answer(monkeypatch, "1,5", "20", "20", "Table 5", "smal-book", "small-book", "stated", "secondary", "soon", "2026-11-25", "yes", "yes")

    status = set_cell(rules)

    out = capsys.readouterr().out
    assert status == 0
    assert "write digits with a dot, such as `1.5`" in out
    assert "`smal-book` is not known; did you mean `small-book`?" in out
    assert "a date is year-month-day" in out


REFUSALS = {
    "two entries that differ": (("--value", "20", "--again", "200", *RESTS), "the two entries differ, `20` and `200`"),
    "a comma": (("--value", "2,5", "--again", "2,5", *RESTS), "`2,5` is no number as rule files write one"),
    "an entry smaller than the one before": (("--value", "6", "--again", "6", *RESTS), "6 is smaller than 10 in the row before"),
    "the same entry": (("--value", "16", "--again", "16", *RESTS), "the change changes nothing"),
    "an unknown source": (("--value", "20", "--again", "20", *RESTS[:3], "smal-book", *RESTS[4:]), "did you mean `small-book`?"),
    "a better confidence than the table": (("--value", "20", "--again", "20", *RESTS[:-1], "checked_once"), "cannot make it"),
    "a quotation mark in the clause": (("--value", "20", "--again", "20", "--clause", '"5', *RESTS[2:]), "without quotation marks"),
}


@pytest.mark.parametrize(("options", "words"), REFUSALS.values(), ids=REFUSALS)
def test_a_refused_change_is_not_written(rules: Path, capsys: pytest.CaptureFixture[str], options: tuple[str, ...], words: str) -> None:
    status = set_cell(rules, *options, "--confirm-examples")

    err = capsys.readouterr().err
    assert status == 2
    assert words in err
    assert "nothing was written" in err
    assert text(rules) == FILES[f"{AMENDMENT}.yaml"]


def test_an_example_that_the_source_does_not_bear_out_stops_the_change(
    rules: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    answer(monkeypatch, "no")

    status = set_cell(rules, *TWENTY[:-1])

    assert status == 2
    assert "do not agree about the example; nothing was written" in capsys.readouterr().err
    assert text(rules) == FILES[f"{AMENDMENT}.yaml"]


def test_answers_that_end_too_soon_write_nothing(rules: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    answer(monkeypatch, "20")

    status = set_cell(rules)

    assert status == 2
    assert "the answers end here; nothing was written" in capsys.readouterr().err


def test_a_base_is_not_changed(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = set_cell(rules, *TWENTY, edition=BASE)

    assert status == 2
    assert "this edition is a base and is not changed; `bondwright rules amend book/first book/first-next` first" in capsys.readouterr().err


def test_an_unknown_table_is_answered_with_the_nearest(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = set_cell(rules, *TWENTY, table="bond-by-neutrals")

    assert status == 2
    assert "did you mean `bond-by-neutral`?" in capsys.readouterr().err


def test_an_unknown_row_is_answered_with_those_there_are(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = set_cell(rules, *TWENTY, up_to="51")

    assert status == 2
    assert "no row up to `51`; it has `35`, `50`, `above`" in capsys.readouterr().err


def opened(rules: Path) -> Path:
    """The file of an amendment just opened."""
    assert main(["rules", "amend", AMENDMENT, "book/third", "--rules", str(rules)]) == 0
    return rules / "book" / "third.yaml"


def filled_in(path: Path) -> None:
    """Writes what a person has to write into it."""
    content = (
        path.read_text(encoding="utf-8")
        .replace("FILL-IN: such as ", "")
        .replace("review_by: FILL-IN", "review_by: 2031-01-01")
        .replace("FILL-IN", "2030-01-01")
    )
    path.write_text(content, encoding="utf-8")


def test_an_opened_amendment_must_be_filled_in(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    opened(rules)

    status = publish(rules, "book/third")

    assert status == 1
    assert "book/third.yaml:7:18: `FILL-IN` is no date" in capsys.readouterr().err


def test_an_opened_amendment_says_the_same_as_its_base(rules: Path) -> None:
    filled_in(opened(rules))

    pack = draft_pack(rules, "book/third")

    assert pack.pack_id == "book-third-r1"
    assert pack.rules == tuple(pack.rule(rule.rule_id) for rule in draft_pack(rules, AMENDMENT).rules)


def test_a_cell_can_be_set_in_an_opened_amendment(rules: Path) -> None:
    filled_in(opened(rules))

    status = set_cell(rules, *TWENTY, edition="book/third")

    assert status == 0
    assert draft_pack(rules, "book/third").tables["bond-by-neutral"].rows[1].use == 20


def test_every_commented_example_of_a_change_is_one_that_can_be_read(rules: Path) -> None:
    path = opened(rules)
    kinds = ["set_cell", "set_value", "withdraw", "replace", "add", "change", "take_away"]

    assert [kind for kind in kinds if f"#  - {kind}:" in path.read_text("utf-8")] == kinds


def test_a_file_that_is_there_is_not_overwritten(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["rules", "amend", BASE, AMENDMENT, "--rules", str(rules)])

    assert status == 2
    assert "book/second.yaml:1:1: there is a file of that name; it was left as it is" in capsys.readouterr().err
    assert text(rules) == FILES[f"{AMENDMENT}.yaml"]


@pytest.mark.parametrize("name", ["third", "book/Third", "../third", "book/a/b"])
def test_a_name_that_cannot_be_an_edition_is_refused(rules: Path, capsys: pytest.CaptureFixture[str], name: str) -> None:
    status = main(["rules", "amend", BASE, name, "--rules", str(rules)])

    assert status == 2
    assert "is no name of an edition" in capsys.readouterr().err


def test_a_family_that_is_not_there_is_refused(rules: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["rules", "amend", BASE, "boook/third", "--rules", str(rules)])

    assert status == 2
    assert "there is no family `boook`" in capsys.readouterr().err

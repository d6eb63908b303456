"""`bondwright rules cases --of WORD`: the cases in whose name or text it stands, and no others, so that a new place is soon tried."""

from pathlib import Path

import pytest
from tests.rules.parlour import CASE, EDITION, PLACE, with_parlour

from bondwright.cli import main


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The rules with an invented place, and its case."""
    return with_parlour(tmp_path / "rules")


def tried(folder: Path, word: str) -> int:
    """The status of trying the cases with that word."""
    return main(["rules", "cases", "--pack", EDITION, "--rules", str(folder), "--of", word])


@pytest.mark.parametrize("word", [PLACE, CASE.removesuffix(".json")])
def test_only_cases_with_the_word_in_their_text_or_name_are_tried(word: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = tried(folder, word)

    assert status == 0
    assert capsys.readouterr().out.startswith("cases: 10 checked, 0 wanting; ")  # the claim, its near miss and eight further


def test_a_word_of_no_case_is_told_so(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status = tried(folder, "parlor_milking")

    assert status == 2
    assert capsys.readouterr().err == "bondwright: no worked case with the word `parlor_milking` falls into that time\n"


def test_nothing_is_said_of_a_time_where_no_pack_was_named(capsys: pytest.CaptureFixture[str]) -> None:
    status = main(["rules", "cases", "--of", "parlor_milking"])

    assert status == 2
    assert capsys.readouterr().err == "bondwright: no worked case with the word `parlor_milking` is there\n"

"""`bondwright rules cases` on the worked cases of this installation, by its packs and by a draft."""

import re

import pytest

from bondwright.cli import main


def test_every_expectation_of_the_worked_cases_of_this_installation_is_compared_and_holds(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["rules", "cases"]) == 0

    found = re.fullmatch(r"cases: [0-9]+ checked, 0 wanting; ([0-9]+) of ([0-9]+) expectations compared\n", capsys.readouterr().out)
    assert found and found[1] == found[2] != "0"


def test_the_worked_cases_can_be_judged_by_a_draft() -> None:
    assert main(["rules", "cases", "--pack", "bs7671/2018-a4"]) == 0

"""Published packs that are not withdrawn pass every proof, and their worked cases hold. Run by `.ci/run`.

Each that another follows, and of those in use the first and the newest of a family: those between have the rules of one or the other,
and publishing proved them. A line for each is printed. Proofs are made anew: the data folder is empty at first.
"""

import re
from pathlib import Path

import pytest
from tests.rules.revisions import first_and_newest, newest_revisions

from bondwright.cli.command_line import main
from bondwright.cli.rules.choosing import published, those_that_stand
from bondwright.shelf.packs import rules_folder

_ALL = [pack.pack_id for pack in those_that_stand(rules_folder(), published(rules_folder()))]
_BETWEEN = {pack.pack_id for pack in newest_revisions()} - {pack.pack_id for pack in first_and_newest()}
STANDING = [pack_id for pack_id in _ALL if pack_id not in _BETWEEN]
_LINE = r": every proof holds; [1-9][0-9]* claims of worked cases judged, 0 wanting; [1-9][0-9]* of [1-9][0-9]* expectations compared"


def test_some_pack_stands() -> None:
    assert STANDING


@pytest.mark.parametrize("pack_id", STANDING)
def test_a_pack_that_stands_is_proved_and_bears_out_its_cases(
    pack_id: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("BONDWRIGHT_DATA", str(tmp_path))

    status = main(["rules", "check", "--full", "--published", pack_id])

    out = capsys.readouterr().out
    print(out)
    assert status == 0
    assert re.search(f"^{re.escape(pack_id)}{_LINE}$", out, re.MULTILINE)

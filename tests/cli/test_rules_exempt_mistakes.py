"""Mistakes that no description shows: exempt by name with a reason, and only while they survive."""

import json
from pathlib import Path
from typing import Any

import pytest
from tests.rules.revisions import drafted

from bondwright.cli.rules.worked.exempt import exemptions, without_exempt
from bondwright.errors import UnreadableRules
from bondwright.proofs.findings import Finding

ENTRY = {"mistake": "rule `one` is dropped", "because": "Nothing shows it.", "editions": ["bs7671-2018-a4"]}
SURVIVOR = Finding("mistakes", "error", None, "no worked case notices that rule `one` is dropped; they differ knowing: metal=no")


def written(folder: Path, *entries: Any, edition: str = "bs7671/2018-a4") -> Any:
    """What is read of a file with these entries."""
    (folder / "bs7671").mkdir(exist_ok=True)
    (folder / "bs7671" / "unnoticed.json").write_text(json.dumps(entries), encoding="utf-8")
    return exemptions(folder, drafted(edition))


def test_a_survivor_that_is_exempt_is_left_out(tmp_path: Path) -> None:
    assert without_exempt([SURVIVOR], written(tmp_path, ENTRY)) == ([], [])


def test_another_mistake_of_the_same_rule_survives(tmp_path: Path) -> None:
    other = Finding("mistakes", "error", None, "no worked case notices that rule `one` is dropped twice")

    assert without_exempt([other, SURVIVOR], written(tmp_path, ENTRY)) == ([other], [])


def test_an_exemption_of_what_is_noticed_or_of_nothing_is_told(tmp_path: Path) -> None:
    (stale,) = written(tmp_path, ENTRY)

    assert without_exempt([], [stale]) == ([], [stale])


def test_it_holds_for_the_editions_that_it_names(tmp_path: Path) -> None:
    assert written(tmp_path, ENTRY | {"editions": ["bs7671-2018"]}) == ()


@pytest.mark.parametrize(
    ("entries", "words"),
    [
        ([{"mistake": "x", "because": "Y."}], "entry 1: write `mistake`, `because` and `editions`, and nothing else"),
        ([ENTRY, ENTRY | {"because": "no sentence"}], "entry 2: `because` must be one sentence, with its full stop"),
        ([ENTRY | {"mistake": ""}], "entry 1: `mistake` must be what `rules mistakes` says after"),
        ([ENTRY | {"editions": []}], "entry 1: `editions` must be a list of editions"),
        ([ENTRY, ENTRY], "entry 2: this mistake is exempt already; write it once"),
    ],
)
def test_a_wrong_entry_is_refused(entries: list[Any], words: str, tmp_path: Path) -> None:
    with pytest.raises(UnreadableRules, match=r"^bs7671/unnoticed\.json:1:1: ") as refused:
        written(tmp_path, *entries)

    assert words in refused.value.detail

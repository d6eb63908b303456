"""An amendment adds, changes and takes away whatever an edition holds, each only where the base is as the change says."""

from pathlib import Path

import pytest
from tests.rules.amended import AMENDMENT, AMENDMENT_FILE, HEADER, amended, draft
from tests.rules.kinds_of_changes import CHANGES
from tests.rules.mini import EDITION

from bondwright.cli.rules.differences import changes
from bondwright.errors import UnreadableRules
from bondwright.shelf.drafts.consolidated import consolidated
from bondwright.shelf.packs import draft_pack
from bondwright.shelf.reading.nodes import read_nodes


@pytest.mark.parametrize("kind", CHANGES)
def test_the_difference_names_what_was_changed(kind: str, tmp_path: Path) -> None:
    change, told, _ = CHANGES[kind]
    folder = amended(tmp_path, change)

    lines = [one.line() for one in changes(draft_pack(folder, EDITION), draft_pack(folder, AMENDMENT))]

    assert [line for line in lines if line.startswith(told)], lines


@pytest.mark.parametrize("kind", CHANGES)
def test_the_draft_is_what_reading_its_whole_text_gives(kind: str, tmp_path: Path) -> None:
    made = consolidated(amended(tmp_path, CHANGES[kind][0]), AMENDMENT)

    assert made.root == read_nodes(made.text, made.name)


@pytest.mark.parametrize("kind", CHANGES)
def test_without_the_change_everything_is_as_it_was(kind: str, tmp_path: Path) -> None:
    before = consolidated(amended(tmp_path / "before", "  []\n"), AMENDMENT).text
    folder = amended(tmp_path / "after", CHANGES[kind][0])
    changed = consolidated(folder, AMENDMENT).text

    (folder / AMENDMENT_FILE).write_text(HEADER + "  []\n")

    assert consolidated(folder, AMENDMENT).text == before
    assert changed != before


@pytest.mark.parametrize("kind", CHANGES)
def test_what_the_base_does_not_say_is_refused_at_its_place(kind: str, tmp_path: Path) -> None:
    change, _, (right, wrong, told) = CHANGES[kind]
    spoilt = change.replace(right, wrong, 1)
    assert spoilt != change

    with pytest.raises(UnreadableRules) as refusal:
        draft(tmp_path, spoilt)

    place, _, said = str(refusal.value).partition(": ")
    file, line, _ = place.split(":")
    assert said.startswith(told)
    assert file == AMENDMENT_FILE
    assert wrong.split()[-1].strip('{}"') in (HEADER + spoilt).splitlines()[int(line) - 1]

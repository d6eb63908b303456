"""Every mistake in a rule file is refused at its place, in words that say what would be right."""

from pathlib import Path

import pytest
from tests.rules.mini import EDITION, FILES, shelve
from tests.rules.mistake import Mistake
from tests.rules.mistakes import MISTAKES

from bondwright.errors import UnreadableRules
from bondwright.shelf.packs import draft_pack


@pytest.mark.parametrize("mistake", MISTAKES, ids=[mistake.claim for mistake in MISTAKES])
def test_the_shelf_refuses(mistake: Mistake, tmp_path: Path) -> None:
    folder = shelve(tmp_path, {**FILES, mistake.file: mistake.text()})

    with pytest.raises(UnreadableRules) as refusal:
        draft_pack(folder, EDITION)

    place, detail = str(refusal.value).split(": ", 1)
    assert mistake.place() == place
    assert mistake.says in detail


def test_each_mistake_is_made_once() -> None:
    claims = [mistake.claim for mistake in MISTAKES]

    assert len(set(claims)) == len(claims) >= 80

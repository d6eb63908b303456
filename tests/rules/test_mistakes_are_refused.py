"""Every mistake in a rule file is refused at its place, in words that say what would be right."""

from pathlib import Path

import pytest
from tests.rules.mini import shelve
from tests.rules.mistake import Mistake
from tests.rules.mistakes import MISTAKES
from tests.rules.mistakes_in_whole_packs import WHOLE_MISTAKES
from tests.rules.whole import WHOLE

from bondwright.errors import UnreadableRules
from bondwright.shelf.packs import draft_pack

ALL = (*MISTAKES, *WHOLE_MISTAKES)


@pytest.mark.parametrize("mistake", ALL, ids=[mistake.claim for mistake in ALL])
def test_the_shelf_refuses(mistake: Mistake, tmp_path: Path) -> None:
    folder = shelve(tmp_path, {**mistake.files, mistake.file: mistake.text()})

    with pytest.raises(UnreadableRules) as refusal:
        draft_pack(folder, mistake.edition)

    place, detail = str(refusal.value).split(": ", 1)
    assert mistake.place() == place
    assert mistake.says in detail


def test_each_mistake_is_made_once() -> None:
    claims = [mistake.claim for mistake in ALL]

    assert len(set(claims)) == len(claims) >= 200
    assert len(WHOLE_MISTAKES) >= 80


@pytest.mark.parametrize("edition", sorted({mistake.edition for mistake in WHOLE_MISTAKES}))
def test_the_packs_that_are_mistaken_are_read_as_they_are(edition: str, tmp_path: Path) -> None:
    assert draft_pack(shelve(tmp_path, WHOLE), edition).format == 4

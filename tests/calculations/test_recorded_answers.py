"""Every answer of a calculation is the recorded one, byte for byte, by every pack that stands."""

import pytest
from msgspec import field
from tests.calculations.keep_answers import answer, digest, inputs, recorded, said
from tests.described import standing
from tests.rules.revisions import published

from bondwright.calculations.catalogue import CALCULATIONS
from bondwright.members import replace
from bondwright.rulebook.held import Sentences
from bondwright.shelf.declared.declaration import declaration
from bondwright.shelf.packs import rules_folder
from bondwright.shelf.published import PublishedPack


class Noted(Sentences, frozen=True):
    """Sentences that note the codes of those that were said."""

    met: set[str] = field(default_factory=set)

    def __call__(self, code: str, **filled: str) -> str:
        """The sentence, noted."""
        self.met.add(code)
        return super().__call__(code, **filled)


_WAY_OUT = "`python -m tests.calculations.keep_answers` adds packs; with `--new-form` it overwrites what differs on purpose"


@pytest.mark.parametrize("pack", standing(), ids=lambda pack: pack.pack_id)
def test_every_answer_is_the_recorded_one(pack: PublishedPack) -> None:
    kept = recorded()

    assert [name for name in CALCULATIONS if digest(pack.whole(), name) != kept.get((pack.pack_id, name))] == [], _WAY_OUT


def test_every_line_of_the_record_is_about_something_that_is_there() -> None:
    assert recorded().keys() == {(pack.pack_id, name) for pack in standing() for name in CALCULATIONS}, _WAY_OUT


def test_every_sentence_of_calculations_is_said() -> None:
    """But what only packs could say that there are not: with sources checked in print, with a table of a single row."""
    met: set[str] = set()

    for pack in (standing()[-1].whole(), published("bs7671-2018-r2")):
        noting = replace(pack, say=Noted(pack.say.by_code, met))
        for name, several in inputs().items():
            for asked in several:
                said(noting, name, asked)

    unsaid = {"rests_on_checked_once", "rests_on_checked_twice", "row_every_value"}
    assert declaration(rules_folder()).calculations.keys() - met == unsaid


def test_each_calculation_is_asked_much_and_answers_most() -> None:
    newest = standing()[-1].whole()

    assert all(len(asked) >= 7 for asked in inputs().values())
    assert answer(newest, "isolation-limit", inputs()["isolation-limit"][0]).results

"""Every answer of a calculation is the recorded one, byte for byte, by every pack that stands."""

import pytest
from tests.calculations.keep_answers import answer, digest, inputs, recorded
from tests.described import standing

from bondwright.calculations.catalogue import CALCULATIONS
from bondwright.shelf.packs import PublishedPack

_WAY_OUT = "if that is meant: `python -m tests.calculations.keep_answers --new-form`"


@pytest.mark.parametrize("pack", standing(), ids=lambda pack: pack.pack_id)
def test_every_answer_is_the_recorded_one(pack: PublishedPack) -> None:
    kept = recorded()

    assert [name for name in CALCULATIONS if digest(pack.whole(), name) != kept.get((pack.pack_id, name))] == [], _WAY_OUT


def test_every_line_of_the_record_is_about_something_that_is_there() -> None:
    assert recorded().keys() == {(pack.pack_id, name) for pack in standing() for name in CALCULATIONS}


def test_each_calculation_is_asked_much_and_answers_most() -> None:
    newest = standing()[-1].whole()

    assert all(len(asked) >= 7 for asked in inputs().values())
    assert answer(newest, "isolation-limit", inputs()["isolation-limit"][0]).results

"""Every published pack still judges, whatever its revision, for answers are replayed by it; and of each the history can be told."""

from contextlib import closing
from functools import cache

import pytest
from tests.core.cases import cases, read
from tests.rules.revisions import published, said, shelf

from bondwright.engine.channels import TwoChannels
from bondwright.evaluate.order import evaluate
from bondwright.installation.description import Installation
from bondwright.rulebook.memory import Kept
from bondwright.shelf.packs import load_pack
from bondwright.shelf.words.shelved import reasons_on_shelf


@cache
def installations() -> tuple[Installation, ...]:
    """What every worked case describes."""
    return tuple(read(case.claim.installation) for case in cases())


@pytest.mark.parametrize("pack_id", {said(pack): pack_id for pack_id, pack in shelf().items()}.values())
def test_every_published_pack_can_still_judge_whatever_its_revision(pack_id: str) -> None:
    """Old revisions lack outcomes, words and columns of newer ones, and answers are replayed by them. Of those that say the same, one."""
    pack = published(pack_id)
    with closing(TwoChannels(pack, Kept())) as running:
        for installation in installations():
            evaluation = evaluate(installation, pack, running.acts, running.memory)
            assert {part.verdicts[0].outcome for part in evaluation.parts} <= {"extraneous"}


@pytest.mark.parametrize("pack_id", shelf())
def test_the_reasons_of_every_published_pack_are_read_alike_without_the_rest_of_it(pack_id: str) -> None:
    pack = published(pack_id)

    assert reasons_on_shelf(pack.text, f"published/{pack_id}.yaml") == (pack.lenient, pack.cases)


@pytest.mark.parametrize("pack_id", shelf())
def test_every_published_pack_is_the_same_before_its_examples_are_read(pack_id: str) -> None:
    pack = published(pack_id)
    whole = load_pack(pack.text, f"published/{pack_id}.yaml")

    assert pack == whole and pack is not whole, "examples were read though nobody had asked for them"
    assert len(whole.examples) > len(whole.rules) / 2
    assert pack.examples == whole.examples

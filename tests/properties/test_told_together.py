"""Verdicts told together, from memory where rows are alike and asked alike: the same as each by itself, with nothing remembered."""

import gc
import json
from collections.abc import Mapping, Set
from typing import TypeAlias

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from tests.cli.command import HOUSE
from tests.properties.judged import judged, pack
from tests.properties.rows import facts_alone

from bondwright.compose.verdicts import verdict, verdicts
from bondwright.compose.written.writing import evaluation_bytes
from bondwright.conclude.concluding import plainly
from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.row import Asked, Judged, Row
from bondwright.rulebook.facts import Facts
from bondwright.rulebook.memory import Kept

KINDS = ("part", "bond", "finding")
ASKS = tuple(name for name, fact in pack().facts.items() if fact.ask)
ONE_OF_FEW = st.sampled_from((Asked(ASKS[0], "/a"), Asked(ASKS[0], "/b"), Asked(ASKS[1], "/a")))
_Asked: TypeAlias = tuple[Mapping[str, tuple[Asked, ...]], tuple[Asked, ...], bool]
"""What is asked behind each fact, what is in doubt besides, and whether there is a reading."""


def _asked(of: str) -> st.SearchStrategy[_Asked]:
    facts = [fact.name for fact in pack().facts_of(of)]
    few = st.lists(ONE_OF_FEW, min_size=1, max_size=2).map(tuple)
    behind = st.one_of(st.fixed_dictionaries(dict.fromkeys(facts, few)), st.dictionaries(st.sampled_from(facts), few))
    return st.tuples(behind, st.lists(ONE_OF_FEW, max_size=1).map(tuple), st.booleans())


@pytest.mark.parametrize("of", KINDS)
def test_verdicts_told_together_are_those_told_one_by_one(of: str) -> None:
    names = tuple(name for name, outcome in pack().outcomes.items() if outcome.of == of)
    memory = Kept()
    of_kind = st.builds(_less_known, facts_alone(pack(), of), st.sets(st.sampled_from([fact.name for fact in pack().facts_of(of)])))

    @settings(deadline=None, max_examples=12, phases=[Phase.explicit, Phase.reuse, Phase.generate])
    @given(of_kind, of_kind, st.lists(_asked(of), min_size=16, max_size=16))
    def same(row: Facts, other: Facts, asked: list[_Asked]) -> None:
        for one in asked:
            together, alone = (Reasoning(pack(), plainly(pack()), remembering) for remembering in (memory, Kept()))
            expected = tuple(verdict(_subject(of, row, other, one, alone), name, alone) for name in names)
            assert verdicts(_subject(of, row, other, one, together), names, together) == expected

    same()


def _less_known(row: Facts, told: Set[str]) -> Facts:
    return {name: value if name in told else pack().facts[name].unknown() for name, value in row.items()}


def _subject(of: str, row: Facts, other: Facts, asked: _Asked, reasoning: Reasoning) -> Judged:
    behind, doubts, has_reading = asked
    found, without = reasoning.conclude(of, [row, other])
    return Judged(Row(of, "name", "/place", row, behind), found, found.levels, without if has_reading else None, doubts)


def test_no_garbage_is_left_when_an_answer_was_written() -> None:
    house = judged(json.loads(HOUSE.read_bytes()))
    assert house is not None
    gc.freeze()  # what stood there before is not gone through: half a minute, late in a run (2026-11-30)

    try:
        evaluation_bytes(house.evaluation)

        assert gc.collect() == 0
    finally:
        gc.unfreeze()

"""What is left out of a location of one kind, for only rules about other kinds name it, decides nothing there and nothing waits for it."""

import pytest
from hypothesis import given, settings
from tests.properties.drawn import drawn
from tests.properties.judged import pack
from tests.properties.rows import every_fact

from bondwright.conclude.concluding import plainly
from bondwright.conclude.elsewhere import facts_that_count
from bondwright.conclude.reasoning import Reasoning
from bondwright.conclude.what_if import Answers
from bondwright.rulebook.declared.places import KIND, ROOM, Named
from bondwright.rulebook.facts import Facts
from bondwright.rulebook.memory import Kept

FACTS = frozenset(fact.name for fact in pack().facts_of(ROOM))
FACT_OF_KIND = pack().places.fact(Named(KIND))
KINDS = {kind: pack().kind("location", kind).word("called", kind) for kind in pack().places.kinds}


def told(row: Facts) -> object:
    """All that is concluded of a row, what waits, and the facts that could move it."""
    reasoning = Reasoning(pack(), plainly(pack()), Kept())
    (found,) = reasoning.conclude(ROOM, [row])
    outcomes = [outcome.name for outcome in pack().outcomes.values() if outcome.of == ROOM and outcome.levels]
    moving = [reasoning.open_facts(found, outcome, "", tuple(row), Answers()) for outcome in outcomes]
    waiting = [reasoning.because(found, outcome, found.levels[outcome]).waiting for outcome in outcomes]
    return found.levels, found.sizes, found.acts, moving, waiting


@pytest.mark.parametrize("kind", KINDS)
def test_a_location_comes_to_the_same_whatever_is_known_of_what_does_not_count(kind: str) -> None:
    counting = facts_that_count(kind, pack())
    assert FACT_OF_KIND in counting

    @settings(deadline=None, max_examples=8)
    @given(drawn(every_fact(pack(), ROOM)), drawn(every_fact(pack(), ROOM)))
    def same(row: Facts, other: Facts) -> None:
        here = {**row, FACT_OF_KIND: KINDS[kind]}
        there = {name: value if name in counting else other[name] for name, value in here.items()}
        assert told(here) == told(there)

    same()


def test_every_fact_counts_somewhere_and_no_kind_has_all_of_them() -> None:
    counting = {kind: facts_that_count(kind, pack()) & FACTS for kind in KINDS}

    assert frozenset[str]().union(*counting.values()) == FACTS
    assert all(len(names) < len(FACTS) / 2 for names in counting.values())

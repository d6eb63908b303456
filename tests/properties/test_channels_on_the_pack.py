"""The engine alone and the plain reader agree on the published pack, at every limit and with every fact known or not."""

from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.properties.judged import pack
from tests.properties.rows import groups, rows

from bondwright.engine.durable import DurableChannel
from bondwright.engine.group import Group
from bondwright.rulebook import meaning
from bondwright.rulebook.facts import Facts
from bondwright.rulebook.meaning import Acts


@pytest.fixture
def engine(group: tuple[str, str]) -> Iterator[Group]:
    """The engine with the rules of one group."""
    made = Group(pack().rules_of(*group), pack().evidence_of(group[1]), DurableChannel)
    yield made
    made.close()


def known_and_certain(stage: str, of: str) -> st.SearchStrategy[tuple[Facts, Facts]]:
    """Rows of one subject as a stage sees them, which differ in what was concluded before."""
    drawn = rows(pack(), stage, of)
    outcomes = drawn.map(lambda row: {name: value for name, value in row.items() if name in pack().outcomes})
    return st.tuples(drawn, outcomes).map(lambda two: (two[0], {**two[0], **two[1]}))


@pytest.mark.parametrize("group", groups(pack()), ids="/".join)
def test_the_engine_alone_says_of_the_published_pack_what_the_plain_reader_says(engine: Group, group: tuple[str, str]) -> None:
    @settings(deadline=None, max_examples=60)
    @given(st.lists(known_and_certain(*group), min_size=1, max_size=6))
    def agree(some: list[tuple[Facts, Facts]]) -> None:
        fired = engine.fired([engine.situation(known, certain) for known, certain in some])
        read = [meaning.acts(engine.rules, known, certain, engine.evidence) for known, certain in some]
        assert [Acts(*sets) for sets in fired] == read

    agree()

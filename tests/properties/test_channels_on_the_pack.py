"""The engine alone and the plain reader agree on the published pack, at every limit and with every fact known or not."""

from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.properties.judged import pack
from tests.properties.rows import groups, rows

from bondwright.engine.columns import cells_reader
from bondwright.engine.compiled import compiled
from bondwright.engine.durable import DurableChannel
from bondwright.rulebook import meaning
from bondwright.rulebook.facts import Facts


@pytest.fixture
def channel(group: tuple[str, str]) -> Iterator[DurableChannel]:
    """The engine with the rules of one group."""
    made = DurableChannel(compiled(pack().rules_of(*group)))
    yield made
    made.close()


@pytest.mark.parametrize("group", groups(pack()), ids="/".join)
def test_the_engine_alone_says_of_the_published_pack_what_the_plain_reader_says(channel: DurableChannel, group: tuple[str, str]) -> None:
    members = pack().rules_of(*group)
    cells = cells_reader(compiled(members).columns)

    @settings(deadline=None, max_examples=60)
    @given(st.lists(rows(pack(), *group), min_size=1, max_size=6))
    def agree(some: list[Facts]) -> None:
        assert channel([cells(row) for row in some]) == [meaning.acting(members, row) for row in some]

    agree()

"""Both channels together: agreement, disagreement, memory, threads and refusals."""

import random
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, closing
from dataclasses import dataclass, field

import pytest
from tests.differential.build import KIND, STAGE, pack, random_facts, random_rules, rule

from bondwright.engine.channels import TwoChannels
from bondwright.engine.compiled import Compiled
from bondwright.engine.durable import DurableChannel
from bondwright.errors import EngineDisagreement, EngineFault
from bondwright.rulebook import meaning
from bondwright.rulebook.condition import All, Any, Test
from bondwright.rulebook.facts import Between, Facts
from bondwright.rulebook.rule import Polarity

LONG = rule("long", Test("length", "above", 1.0))
COPPER = rule("copper", Test("material", "is", ("copper",)), Polarity.RELAXES)
METAL_PIPE: Facts = {"length": Between(2, 2), "material": "copper"}
UNKNOWN_PIPE: Facts = {"length": Between(0, 9), "material": "unknown"}


@dataclass
class Counting:
    """Builds real channels, and keeps the number of rows of each call of the engine."""

    calls: list[int] = field(default_factory=list)

    def __call__(self, plan: Compiled) -> "CountedChannel":
        return CountedChannel(DurableChannel(plan), self.calls)


@dataclass
class CountedChannel:
    channel: DurableChannel
    calls: list[int]

    def __call__(self, rows: Sequence[bytes]) -> list[frozenset[str]]:
        self.calls.append(len(rows))
        return self.channel(rows)

    def close(self) -> None:
        self.channel.close()


class Forgetful:
    """A channel that fires nothing, whatever the row."""

    def __init__(self, plan: Compiled) -> None:
        self.plan = plan

    def __call__(self, rows: Sequence[bytes]) -> list[frozenset[str]]:
        return [frozenset() for _ in rows]

    def close(self) -> None:
        """Holds nothing."""


Keeper = Callable[[TwoChannels], TwoChannels]


@pytest.fixture
def kept() -> Iterator[Keeper]:
    """Keeps channels open until the test ends."""
    with ExitStack() as stack:
        yield lambda channels: stack.enter_context(closing(channels))


def test_answers_come_in_row_order(kept: Keeper) -> None:
    channels = kept(TwoChannels(pack([LONG, COPPER])))

    acting = channels.acting(STAGE, KIND, [UNKNOWN_PIPE, METAL_PIPE, UNKNOWN_PIPE])

    assert acting == [{"long"}, {"long", "copper"}, {"long"}]


def test_random_packs_are_answered_as_the_plain_reader_answers_them(kept: Keeper) -> None:
    rng = random.Random("packs")
    rules = random_rules(rng, 80)
    channels = kept(TwoChannels(pack(rules)))
    facts = [random_facts(rng) for _ in range(120)]

    twice = [channels.acting(STAGE, KIND, facts) for _ in range(2)]

    assert twice == [[meaning.acting(rules, row) for row in facts]] * 2


def test_a_group_without_rules_acts_on_nobody(kept: Keeper) -> None:
    assert kept(TwoChannels(pack([LONG]))).acting("size", KIND, [METAL_PIPE]) == [frozenset()]


def test_groups_with_equal_cells_keep_their_own_answers(kept: Keeper) -> None:
    other = rule("other", LONG.when, stage="size")
    channels = kept(TwoChannels(pack([LONG, other])))

    answers = [channels.acting(stage, KIND, [METAL_PIPE]) for stage in (STAGE, "size", STAGE)]

    assert answers == [[{"long"}], [{"other"}], [{"long"}]]


def test_a_situation_seen_before_is_not_put_to_the_engine_again(kept: Keeper) -> None:
    counting = Counting()
    channels = kept(TwoChannels(pack([LONG, COPPER]), build_channel=counting))
    longer: Facts = {"length": Between(3, 3), "material": "copper"}

    answers = [channels.acting(STAGE, KIND, rows) for rows in ([METAL_PIPE, METAL_PIPE], [longer], [longer, UNKNOWN_PIPE])]

    assert answers[2] == [{"long", "copper"}, {"long"}]
    assert counting.calls == [1, 1]


def test_with_no_memory_every_call_reaches_the_engine(kept: Keeper) -> None:
    counting = Counting()
    channels = kept(TwoChannels(pack([LONG]), remembered=0, build_channel=counting))

    for _ in range(3):
        channels.acting(STAGE, KIND, [METAL_PIPE])

    assert counting.calls == [1, 1, 1]


def test_a_full_memory_forgets_the_oldest_situation(kept: Keeper) -> None:
    counting = Counting()
    channels = kept(TwoChannels(pack([COPPER]), remembered=2, build_channel=counting))

    for material in ("copper", "plastic", "unknown", "unknown", "plastic", "copper"):
        channels.acting(STAGE, KIND, [{"material": material}])

    assert len(counting.calls) == 4


def test_a_planted_disagreement_gives_no_answer(kept: Keeper) -> None:
    channels = kept(TwoChannels(pack([LONG, COPPER]), build_channel=Forgetful))

    with pytest.raises(EngineDisagreement) as raised:
        channels.acting(STAGE, KIND, [UNKNOWN_PIPE, METAL_PIPE])

    assert raised.value.pack_digest == "0" * 64
    assert raised.value.stage == STAGE
    assert raised.value.differences == (
        "row 0: rule `long` acts only by the plain reader",
        "row 1: rule `copper` acts only by the plain reader",
        "row 1: rule `long` acts only by the plain reader",
    )


def test_a_disagreement_is_not_remembered_as_an_answer(kept: Keeper) -> None:
    channels = kept(TwoChannels(pack([LONG]), build_channel=Forgetful))

    for _ in range(2):
        with pytest.raises(EngineDisagreement):
            channels.acting(STAGE, KIND, [METAL_PIPE])


def test_a_pack_beyond_the_limits_is_refused_when_it_is_built() -> None:
    any_of_64 = Any(tuple(Test("length", "above", float(number)) for number in range(64)))

    with pytest.raises(EngineFault, match="rule `wide` spreads"):
        TwoChannels(pack([LONG, rule("wide", All((any_of_64, COPPER.when)))]))


def test_closed_channels_answer_nothing_even_from_memory(kept: Keeper) -> None:
    channels = kept(TwoChannels(pack([LONG])))
    channels.acting(STAGE, KIND, [METAL_PIPE])

    channels.close()

    with pytest.raises(EngineFault, match="closed"):
        channels.acting(STAGE, KIND, [METAL_PIPE])


def test_two_hundred_packs_can_be_opened_and_closed() -> None:
    rng = random.Random("two hundred")
    rules, facts = random_rules(rng, 10), [random_facts(rng) for _ in range(3)]
    expected = [meaning.acting(rules, row) for row in facts]

    for _ in range(200):
        channels = TwoChannels(pack(rules))
        assert channels.acting(STAGE, KIND, facts) == expected
        channels.close()


def test_threads_may_share_the_channels(kept: Keeper) -> None:
    rng = random.Random("threads")
    rules = random_rules(rng, 30)
    channels = kept(TwoChannels(pack(rules), remembered=7))
    batches = [[random_facts(rng) for _ in range(4)] for _ in range(300)]

    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda rows: channels.acting(STAGE, KIND, rows), batches))

    assert answers == [[meaning.acting(rules, row) for row in rows] for rows in batches]

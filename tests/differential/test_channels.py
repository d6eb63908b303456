"""Both channels together: agreement, disagreement, memory, threads and refusals."""

import random
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, closing
from dataclasses import dataclass, field

import pytest
from tests.differential.build import KIND, STAGE, pack, random_facts, random_rows, random_rules, rule

from bondwright.engine.channels import TwoChannels
from bondwright.engine.compiled import Compiled, Fired
from bondwright.engine.durable import DurableChannel
from bondwright.engine.memory import BoundedMemory
from bondwright.errors import EngineDisagreement, EngineFault
from bondwright.members import replace
from bondwright.rulebook import meaning
from bondwright.rulebook.condition import All, Any, Test
from bondwright.rulebook.facts import Between, Facts
from bondwright.rulebook.meaning import Acts
from bondwright.rulebook.memory import Kept
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

    def __call__(self, rows: Sequence[bytes]) -> list[Fired]:
        self.calls.append(len(rows))
        return self.channel(rows)

    def close(self) -> None:
        self.channel.close()


class Forgetful:
    """A channel that fires nothing, whatever the row."""

    def __init__(self, plan: Compiled) -> None:
        self.plan = plan

    def __call__(self, rows: Sequence[bytes]) -> list[Fired]:
        return [Fired(frozenset(), frozenset()) for _ in rows]

    def close(self) -> None:
        """Holds nothing."""


class Slipping(DurableChannel):
    """A channel that forgets, on rows of just these cells, who acts at worst or who acts at least."""

    def __init__(self, plan: Compiled, cells: bytes, member: str) -> None:
        super().__init__(plan)
        self._cells, self._member = cells, member

    def __call__(self, rows: Sequence[bytes]) -> list[Fired]:
        fired = super().__call__(rows)
        return [one._replace(**{self._member: frozenset()}) if row == self._cells else one for row, one in zip(rows, fired, strict=True)]


Keeper = Callable[[TwoChannels], TwoChannels]


def at_worst(channels: TwoChannels, stage: str, of: str, rows: Sequence[Facts]) -> list[frozenset[str]]:
    """Ids of the rules that act at worst on each row, of which all that is known is certain."""
    return [acts.worst_case for acts in channels.acts(stage, of, [(facts, facts) for facts in rows])]


@pytest.fixture
def kept() -> Iterator[Keeper]:
    """Keeps channels open until the test ends."""
    with ExitStack() as stack:
        yield lambda channels: stack.enter_context(closing(channels))


def test_answers_come_in_row_order(kept: Keeper) -> None:
    channels = kept(TwoChannels(pack([LONG, COPPER]), Kept()))

    found = at_worst(channels, STAGE, KIND, [UNKNOWN_PIPE, METAL_PIPE, UNKNOWN_PIPE])

    assert found == [{"long"}, {"long", "copper"}, {"long"}]


def test_what_is_known_and_what_is_certain_are_asked_about_apart(kept: Keeper) -> None:
    channels = kept(TwoChannels(pack([LONG, COPPER]), Kept()))

    (acts,) = channels.acts(STAGE, KIND, [(UNKNOWN_PIPE, METAL_PIPE)])

    assert acts == Acts(frozenset({"long", "copper"}), frozenset({"long", "copper"}), frozenset({"copper"}))


def test_evidence_that_nobody_must_supply_relaxes_at_least_and_not_as_far_as_certain(kept: Keeper) -> None:
    relaxing = rule("shown", LONG.when, Polarity.RELAXES)
    channels = kept(TwoChannels(pack([relaxing], evidence=["length"]), Kept()))

    (acts,) = channels.acts(STAGE, KIND, [(UNKNOWN_PIPE, UNKNOWN_PIPE)])

    assert acts == Acts(frozenset(), frozenset(), frozenset({"shown"}))


@pytest.mark.parametrize("evidence", [(), ("length", "reading"), ("bore",)])
def test_random_packs_are_answered_as_the_plain_reader_answers_them_in_all_three_sets(kept: Keeper, evidence: tuple[str, ...]) -> None:
    rng = random.Random("three sets")
    rules, rows = random_rules(rng, 80), [random_rows(rng) for _ in range(120)]
    channels = kept(TwoChannels(pack(rules, evidence), Kept()))

    twice = [channels.acts(STAGE, KIND, rows) for _ in range(2)]

    assert twice == [[meaning.acts(rules, known, certain, frozenset(evidence)) for known, certain in rows]] * 2


def test_random_packs_are_answered_as_the_plain_reader_answers_them(kept: Keeper) -> None:
    rng = random.Random("packs")
    rules = random_rules(rng, 80)
    channels = kept(TwoChannels(pack(rules), Kept()))
    facts = [random_facts(rng) for _ in range(120)]

    twice = [at_worst(channels, STAGE, KIND, facts) for _ in range(2)]

    assert twice == [[meaning.acting(rules, row) for row in facts]] * 2


def test_a_group_without_rules_acts_on_nobody(kept: Keeper) -> None:
    assert at_worst(kept(TwoChannels(pack([LONG]), Kept())), "size", KIND, [METAL_PIPE]) == [frozenset()]


def test_groups_with_equal_cells_keep_their_own_answers(kept: Keeper) -> None:
    other = rule("other", LONG.when, stage="size")
    channels = kept(TwoChannels(pack([LONG, other]), Kept()))

    answers = [at_worst(channels, stage, KIND, [METAL_PIPE]) for stage in (STAGE, "size", STAGE)]

    assert answers == [[{"long"}], [{"other"}], [{"long"}]]


def test_a_situation_seen_before_is_not_put_to_the_engine_again(kept: Keeper) -> None:
    counting = Counting()
    channels = kept(TwoChannels(pack([LONG, COPPER]), Kept(), build_channel=counting))
    longer: Facts = {"length": Between(3, 3), "material": "copper"}

    answers = [at_worst(channels, STAGE, KIND, rows) for rows in ([METAL_PIPE, METAL_PIPE], [longer], [longer, UNKNOWN_PIPE])]

    assert answers[2] == [{"long", "copper"}, {"long"}]
    assert counting.calls == [1, 1]


def test_with_no_memory_every_call_reaches_the_engine(kept: Keeper) -> None:
    counting = Counting()
    channels = kept(TwoChannels(pack([LONG]), BoundedMemory(0), build_channel=counting))

    for _ in range(3):
        at_worst(channels, STAGE, KIND, [METAL_PIPE])

    assert counting.calls == [1] * 3


def test_a_full_memory_forgets_the_oldest_situation(kept: Keeper) -> None:
    counting = Counting()
    channels = kept(TwoChannels(pack([COPPER]), BoundedMemory(2), build_channel=counting))

    for material in ("copper", "plastic", "unknown", "unknown", "plastic", "copper"):
        at_worst(channels, STAGE, KIND, [{"material": material}])

    assert len(counting.calls) == 4


def test_a_planted_disagreement_gives_no_answer(kept: Keeper) -> None:
    channels = kept(TwoChannels(pack([LONG, COPPER]), Kept(), build_channel=Forgetful))

    with pytest.raises(EngineDisagreement) as raised:
        at_worst(channels, STAGE, KIND, [UNKNOWN_PIPE, METAL_PIPE])

    assert raised.value.pack_digest == "0" * 64
    assert raised.value.stage == STAGE
    assert raised.value.differences == (
        "row 0, worst_case: rule `long` acts only by the plain reader",
        "row 0, certain: rule `copper` acts only by the plain reader",
        "row 0, lowest: rule `copper` acts only by the plain reader",
        "row 1, worst_case: rule `copper` acts only by the plain reader",
        "row 1, worst_case: rule `long` acts only by the plain reader",
        "row 1, certain: rule `copper` acts only by the plain reader",
        "row 1, certain: rule `long` acts only by the plain reader",
        "row 1, lowest: rule `copper` acts only by the plain reader",
        "row 1, lowest: rule `long` acts only by the plain reader",
    )


@pytest.mark.parametrize(
    ("forgets", "known", "certain", "differs"),
    [
        ("at_worst", UNKNOWN_PIPE, METAL_PIPE, "worst_case"),
        ("at_least", UNKNOWN_PIPE, METAL_PIPE, "certain"),
        ("at_least", METAL_PIPE, UNKNOWN_PIPE, "lowest"),
    ],
)
def test_a_fault_of_the_engine_in_one_of_the_three_sets_is_found(
    kept: Keeper, forgets: str, known: Facts, certain: Facts, differs: str
) -> None:
    channels = kept(TwoChannels(pack([LONG]), Kept(), build_channel=lambda plan: Slipping(plan, bytes([2]), forgets)))

    with pytest.raises(EngineDisagreement) as raised:
        channels.acts(STAGE, KIND, [(known, certain)])

    assert raised.value.differences == (f"row 0, {differs}: rule `long` acts only by the plain reader",)


@pytest.mark.parametrize(("known", "certain"), [(METAL_PIPE, UNKNOWN_PIPE), (UNKNOWN_PIPE, METAL_PIPE)])
def test_rows_that_differ_in_one_of_the_two_are_two_situations(kept: Keeper, known: Facts, certain: Facts) -> None:
    counting, memory = Counting(), Kept()
    channels = kept(TwoChannels(pack([LONG]), memory, build_channel=counting))

    channels.acts(STAGE, KIND, [(METAL_PIPE, METAL_PIPE)])
    channels.acts(STAGE, KIND, [(known, certain)])

    assert len(memory) == 2
    assert channels.met == (0, 2)


def test_equal_cells_are_put_to_the_engine_once(kept: Keeper) -> None:
    counting = Counting()
    channels = kept(TwoChannels(pack([LONG]), Kept(), build_channel=counting))

    channels.acts(STAGE, KIND, [(METAL_PIPE, METAL_PIPE), (UNKNOWN_PIPE, METAL_PIPE)])

    assert counting.calls == [2]


def test_packs_that_share_a_memory_keep_their_own_answers(kept: Keeper) -> None:
    memory = Kept()
    first = kept(TwoChannels(pack([LONG]), memory))
    second = kept(TwoChannels(replace(pack([rule("other", LONG.when)]), digest="1" * 64), memory))

    answers = [at_worst(channels, STAGE, KIND, [METAL_PIPE]) for channels in (first, second, first, second)]

    assert answers == [[{"long"}], [{"other"}]] * 2


def test_channels_of_one_pack_that_share_a_memory_answer_each_others_situations(kept: Keeper) -> None:
    memory, counting = Kept(), Counting()
    first, second = (kept(TwoChannels(pack([LONG]), memory, build_channel=counting)) for _ in range(2))

    assert at_worst(first, STAGE, KIND, [METAL_PIPE]) == at_worst(second, STAGE, KIND, [METAL_PIPE])

    assert (len(counting.calls), second.met) == (1, (1, 0))


def test_an_engine_is_built_when_a_stage_first_asks_for_it(kept: Keeper) -> None:
    built: list[Compiled] = []

    def building(plan: Compiled) -> DurableChannel:
        built.append(plan)
        return DurableChannel(plan)

    channels = kept(TwoChannels(pack([LONG, rule("other", LONG.when, stage="size")]), Kept(), build_channel=building))

    counts = [len(built)]
    for stage in (STAGE, STAGE, "size"):
        at_worst(channels, stage, KIND, [METAL_PIPE, UNKNOWN_PIPE])
        counts.append(len(built))

    assert counts == [0, 1, 1, 2]


def test_an_engine_that_refuses_the_rules_is_found_by_building_all(kept: Keeper) -> None:
    def refusing(plan: Compiled) -> DurableChannel:
        raise EngineFault(f"the engine refused a ruleset of {len(plan.shards)} shards")

    channels = kept(TwoChannels(pack([LONG]), Kept(), build_channel=refusing))

    with pytest.raises(EngineFault, match="refused a ruleset"):
        channels.build()


def test_an_engine_that_answers_too_few_rows_gives_no_answer(kept: Keeper) -> None:
    class Short(DurableChannel):
        def __call__(self, rows: Sequence[bytes]) -> list[Fired]:
            return super().__call__(rows)[1:]

    channels = kept(TwoChannels(pack([LONG]), Kept(), build_channel=Short))

    with pytest.raises(EngineFault, match="answered 0 rows of 1"):
        at_worst(channels, STAGE, KIND, [METAL_PIPE])


def test_a_disagreement_is_not_remembered_as_an_answer(kept: Keeper) -> None:
    channels = kept(TwoChannels(pack([LONG]), Kept(), build_channel=Forgetful))

    for _ in range(2):
        with pytest.raises(EngineDisagreement):
            at_worst(channels, STAGE, KIND, [METAL_PIPE])


def test_a_pack_beyond_the_limits_is_refused_when_it_is_built() -> None:
    any_of_64 = Any(tuple(Test("length", "above", float(number)) for number in range(64)))

    with pytest.raises(EngineFault, match="rule `wide` spreads"):
        TwoChannels(pack([LONG, rule("wide", All((any_of_64, COPPER.when)))]), Kept())


def test_closed_channels_answer_nothing_even_from_memory(kept: Keeper) -> None:
    channels = kept(TwoChannels(pack([LONG]), Kept()))
    at_worst(channels, STAGE, KIND, [METAL_PIPE])

    channels.close()

    with pytest.raises(EngineFault, match="closed"):
        at_worst(channels, STAGE, KIND, [METAL_PIPE])


def test_two_hundred_packs_can_be_opened_and_closed() -> None:
    rng = random.Random("two hundred")
    rules, facts = random_rules(rng, 10), [random_facts(rng) for _ in range(3)]
    expected = [meaning.acting(rules, row) for row in facts]

    for _ in range(200):
        channels = TwoChannels(pack(rules), Kept())
        assert at_worst(channels, STAGE, KIND, facts) == expected
        channels.close()


def test_threads_may_share_the_channels(kept: Keeper) -> None:
    rng = random.Random("threads")
    rules = random_rules(rng, 30)
    channels = kept(TwoChannels(pack(rules), BoundedMemory(7)))
    batches = [[random_facts(rng) for _ in range(4)] for _ in range(300)]

    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda rows: at_worst(channels, STAGE, KIND, rows), batches))

    assert answers == [[meaning.acting(rules, row) for row in rows] for rows in batches]

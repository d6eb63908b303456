"""What the two channels cost beside a plain loop of compiled closures: `uv run python tests/benchmarks/bench_engine.py`.

One installation is 10 subjects put through 4 stages of 15 rules (2 to 6 tests each); every way answers the same installations in
interleaved rounds. Trust the ratios, not the microseconds.
"""

import random
import statistics
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.differential.build import COMPARISONS, KIND, pack, rule

from bondwright.engine.channels import TwoChannels
from bondwright.engine.columns import cells_reader
from bondwright.engine.compiled import compiled
from bondwright.engine.durable import DurableChannel
from bondwright.engine.memory import BoundedMemory
from bondwright.rulebook import meaning
from bondwright.rulebook.condition import All, Any, Condition, Not, Operator, Test
from bondwright.rulebook.facts import UNKNOWN, Between, Facts
from bondwright.rulebook.memory import Memory
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Polarity, Rule

SEED, ROUNDS, INSTALLATIONS, SUBJECTS = 20261125, 15, 40, 10
STAGES = ("classify", "require", "size", "observe")
CHOICE_FACTS, NUMBER_FACTS = [f"choice{n}" for n in range(14)], [f"number{n}" for n in range(8)]
CHOICES = ("red", "green", "blue", "white")

Way = Callable[[Sequence[Facts]], list[list[frozenset[str]]]]
Truth = Callable[[Facts], int]


def make_pack(rng: random.Random) -> RulePack:
    """60 rules; each joins 2 to 6 tests, one in four with an alternative, one in six tests denied."""
    rules = []
    for number in range(60):
        tests: list[Condition] = [make_test(rng) for _ in range(rng.randint(2, 6))]
        when = [Not(test) if rng.random() < 1 / 6 else test for test in tests]
        if rng.random() < 0.25:
            when = [Any(tuple(when[:2])), *when[2:]]
        rules.append(rule(f"r{number}", All(tuple(when)), rng.choice(list(Polarity)), stage=STAGES[number % 4]))
    return pack(rules)


def make_test(rng: random.Random) -> Test:
    """Two choice tests for each number test."""
    if rng.random() < 2 / 3:
        return Test(rng.choice(CHOICE_FACTS), "is", tuple(sorted(rng.sample(CHOICES, rng.randint(1, 3)))))
    operator: Operator = rng.choice(COMPARISONS)
    return Test(rng.choice(NUMBER_FACTS), operator, float(rng.randint(0, 9)))


def make_facts(rng: random.Random) -> Facts:
    """A row of 22 facts, an eighth of them unknown."""
    row: dict[str, str | Between] = {fact: UNKNOWN if rng.random() < 1 / 8 else rng.choice(CHOICES) for fact in CHOICE_FACTS}
    for fact in NUMBER_FACTS:
        value = rng.uniform(0, 9)
        row[fact] = Between(0.0, 9.0) if rng.random() < 1 / 8 else Between(value, value)
    return row


def plain_test(test: Test) -> Truth:
    """The rival's own reading of one test: no kinds checked, no operand but choices and constants."""
    fact, operand = test.fact, test.operand
    if test.operator == "is":
        held = {UNKNOWN: 1} | dict.fromkeys(operand if isinstance(operand, tuple) else (), 2)
        return lambda facts: held.get(facts[fact], 0)  # type: ignore[arg-type]  # a choice is text
    sense = {
        "at_least": lambda low, high: 2 if low >= operand else int(high >= operand),
        "above": lambda low, high: 2 if low > operand else int(high > operand),
        "at_most": lambda low, high: 2 if high <= operand else int(low <= operand),
        "below": lambda low, high: 2 if high < operand else int(low < operand),
    }[test.operator]
    return lambda facts: sense(facts[fact].lowest, facts[fact].highest)  # type: ignore[union-attr,no-untyped-call]  # a range


def plain(condition: Condition) -> Truth:
    """The rival: one short-circuiting closure for each node of a condition."""
    match condition:
        case Test():
            return plain_test(condition)
        case Not(member):
            inner = plain(member)
            return lambda facts: 2 - inner(facts)
        case All(members) | Any(members):
            parts, all_of = [plain(member) for member in members], isinstance(condition, All)

    def joined(facts: Facts) -> int:
        found = 2 if all_of else 0
        for part in parts:
            cell = part(facts)
            if (all_of and cell < found) or (not all_of and cell > found):
                found = cell
            if found == (0 if all_of else 2):
                break
        return found

    return joined


def plain_loop(rules: RulePack) -> Way:
    """Each rule's closure on each subject."""
    closures = [
        [(each.rule_id, plain(each.when), int(meaning.threshold(each.polarity))) for each in rules.rules_of(stage, KIND)]
        for stage in STAGES
    ]
    return lambda rows: [[frozenset(name for name, when, least in stage if when(facts) >= least) for facts in rows] for stage in closures]


def plain_reader(rules: RulePack) -> Way:
    """The second channel by itself."""
    groups: list[tuple[Rule, ...]] = [rules.rules_of(stage, KIND) for stage in STAGES]
    return lambda rows: [[meaning.acting(group, facts) for facts in rows] for group in groups]


def engine_alone(rules: RulePack) -> Way:
    """Columns and the native engine, no second channel, no memory."""
    plans = [compiled(rules.rules_of(stage, KIND)) for stage in STAGES]
    runners = [(cells_reader(plan.columns), DurableChannel(plan)) for plan in plans]
    return lambda rows: [[one.at_worst for one in channel([cells(facts) for facts in rows])] for cells, channel in runners]


def columns_alone(rules: RulePack) -> Way:
    """Only the cells, which every way through the engine must compute; it answers nothing."""
    readers = [cells_reader(compiled(rules.rules_of(stage, KIND)).columns) for stage in STAGES]
    return lambda rows: [[frozenset() for facts in rows if cells(facts)] for cells in readers]


def two_channels(rules: RulePack, memory: Memory) -> Way:
    """As in production."""
    channels = TwoChannels(rules, memory, hang_limit_s=10)
    return lambda rows: [[acts.worst_case for acts in channels.acts(stage, KIND, [(facts, facts) for facts in rows])] for stage in STAGES]


def main() -> None:
    """Prints one table of medians and ratios."""
    rng = random.Random(SEED)
    rules = make_pack(rng)
    installations = [[make_facts(rng) for _ in range(SUBJECTS)] for _ in range(INSTALLATIONS)]
    ways = {
        "plain loop of closures": plain_loop(rules),
        "plain reader": plain_reader(rules),
        "columns alone": columns_alone(rules),
        "engine alone": engine_alone(rules),
        "two channels, cold": two_channels(rules, BoundedMemory(0)),
        "two channels, warm": two_channels(rules, BoundedMemory(20_000)),
    }
    answers = {name: [way(rows) for rows in installations] for name, way in ways.items() if name != "columns alone"}
    assert all(answer == answers["plain loop of closures"] for answer in answers.values()), "the ways differ"

    taken: dict[str, list[float]] = {name: [] for name in ways}
    for _ in range(ROUNDS):
        for name, way in ways.items():
            began = time.perf_counter()
            for rows in installations:
                way(rows)
            taken[name].append((time.perf_counter() - began) / INSTALLATIONS * 1e6)

    firings = sum(len(acting) for stages in answers["plain loop of closures"] for stage in stages for acting in stage)
    print(f"seed {SEED}: {firings / INSTALLATIONS:.0f} firings an installation of {SUBJECTS} subjects, {ROUNDS} interleaved rounds")
    print(f"{'way':24}{'median us':>12}{'ratio':>8}")
    base = statistics.median(taken["plain loop of closures"])
    for name, times in taken.items():
        print(f"{name:24}{statistics.median(times):12.0f}{statistics.median(times) / base:8.2f}")


if __name__ == "__main__":
    main()

"""What the three sets mean, said of worlds: a condition that names no fact twice is tried in each world that is still possible.

Neither channel looks at worlds, and this knows no third truth value. The meaning is our own (`rulebook.meaning.Acts`): at worst a rule
that raises acts in some world and one that relaxes in all; at least the other way round; as far as certain, a relaxing rule acts where
what is not evidence could turn out so that it holds whatever the evidence would be. Only what a test is about is set aside, not what it
is compared with, which keeps the rule acting and so leaves more open; rules drawn here compare no other fact with evidence.
"""

import operator
import random
from collections.abc import Iterator, Mapping
from contextlib import closing
from itertools import product
from typing import TypeAlias

import pytest
from tests.differential.build import CHOICES, COMPARISONS, NUMBER_FACTS, NUMBERS, TEXT_FACTS, random_facts, rule

from bondwright.engine.durable import DurableChannel
from bondwright.engine.group import Group
from bondwright.rulebook import meaning
from bondwright.rulebook.condition import All, Any, Condition, Not, Test
from bondwright.rulebook.condition import tests_in as each_test
from bondwright.rulebook.facts import UNKNOWN, Between, Facts
from bondwright.rulebook.meaning import Acts
from bondwright.rulebook.rule import Polarity

World: TypeAlias = Mapping[str, str | float]
COMPARED = {"at_least": operator.ge, "above": operator.gt, "at_most": operator.le, "below": operator.lt}
SEEDS = range(3000)
ALL = frozenset((*TEXT_FACTS, *NUMBER_FACTS))


def holds(condition: Condition, world: World) -> bool:
    """Whether a condition holds in a world, in which everything is known."""
    match condition:
        case Test(fact, "is", operand):
            assert isinstance(operand, tuple)
            return world[fact] in operand
        case Test(fact, compared, operand):
            return bool(COMPARED[compared](world[fact], world[operand] if isinstance(operand, str) else operand))
        case Not(member):
            return not holds(member, world)
        case All(members):
            return all(holds(member, world) for member in members)
        case Any(members):
            return any(holds(member, world) for member in members)


def worlds(row: Facts, facts: frozenset[str]) -> Iterator[World]:
    """Each way in which those of the facts that are open can turn out; of a number its ends, where comparisons turn."""
    values: dict[str, tuple[str | float, ...]] = {
        fact: (value.lowest, value.highest) if isinstance(value, Between) else CHOICES if value == UNKNOWN else (value,)
        for fact, value in row.items()
        if fact in facts
    }
    for chosen in product(*values.values()):
        yield dict(zip(values, chosen, strict=True))


def expected(when: Condition, polarity: Polarity, known: Facts, certain: Facts, evidence: frozenset[str]) -> tuple[bool, bool, bool]:
    """Whether a rule acts at worst, as far as certain, and at least."""
    now, lowest = ([holds(when, world) for world in worlds(row, ALL)] for row in (certain, known))
    at_worst = all(now) if polarity in (Polarity.RELAXES, Polarity.PROVIDES, Polarity.REMARKS) else any(now)
    if polarity is not Polarity.RELAXES:
        return at_worst, all(now), all(lowest)
    surely = any(all(holds(when, {**told, **shown}) for shown in worlds(certain, evidence)) for told in worlds(certain, ALL - evidence))
    return at_worst, surely, any(lowest)


def condition_naming_no_fact_twice(rng: random.Random) -> Condition:
    """A nested condition over some of the facts."""
    tests: list[Condition] = [
        Test(fact, "is", tuple(sorted(rng.sample(CHOICES, rng.randint(1, 2))))) for fact in TEXT_FACTS if rng.random() < 0.7
    ]
    numbers = rng.sample(NUMBER_FACTS, 3)
    tests += [Test(numbers[0], rng.choice(COMPARISONS), numbers[1]), Test(numbers[2], rng.choice(COMPARISONS), rng.choice(NUMBERS))]
    rng.shuffle(tests)
    while len(tests) > 1:
        members = (tests.pop(), tests.pop())
        joined: Condition = All(members) if rng.random() < 0.5 else Any(members)
        tests.insert(0, Not(joined) if rng.random() < 0.3 else joined)
    return tests[0]


def drawn(seed: int) -> tuple[Condition, Polarity, Facts, Facts, frozenset[str]]:
    """A rule, what is known and what is certain of a subject, and what is evidence."""
    rng = random.Random(f"worlds {seed}")
    polarity = rng.choice((Polarity.RELAXES, *Polarity))
    when = condition_naming_no_fact_twice(rng)
    compared = {test.fact: test.operand for test in each_test(when) if isinstance(test.operand, str)}
    drawn_evidence = {fact for fact in (*TEXT_FACTS, *NUMBER_FACTS) if rng.random() < 0.4}
    evidence = drawn_evidence - {other for fact, other in compared.items() if fact not in drawn_evidence}
    return when, polarity, random_facts(rng), random_facts(rng), frozenset(evidence)


def acting(acts: Acts) -> tuple[bool, bool, bool]:
    """Whether the only rule is in each of the sets."""
    return bool(acts.worst_case), bool(acts.certain), bool(acts.lowest)


@pytest.mark.parametrize("first", range(0, len(SEEDS), 300))
def test_both_channels_say_what_is_so_in_the_worlds(first: int) -> None:
    for seed in SEEDS[first : first + 300]:
        when, polarity, known, certain, evidence = drawn(seed)
        rules = [rule("r", when, polarity)]
        with closing(Group(rules, evidence, DurableChannel)) as group:
            (fired,) = group.fired([group.situation(known, certain)])

        answer = expected(when, polarity, known, certain, evidence)

        assert acting(Acts(*fired)) == answer, seed
        assert acting(meaning.acts(rules, known, certain, evidence)) == answer, seed


def test_a_fact_is_not_set_aside_for_the_evidence_that_it_is_compared_with() -> None:
    rules = [rule("r", Test("length", "above", "reading"), Polarity.RELAXES)]
    row: Facts = {"length": Between(1, 1), "reading": Between(0, 2)}

    with closing(Group(rules, frozenset({"reading"}), DurableChannel)) as group:
        (fired,) = group.fired([group.situation(row, row)])

    assert acting(Acts(*fired)) == acting(meaning.acts(rules, row, row, frozenset({"reading"}))) == (False, True, True)


def test_the_rules_drawn_prove_something() -> None:
    cases = [drawn(seed) for seed in SEEDS]
    answers = [expected(*case) for case in cases]
    relaxing = [(case, answer) for case, answer in zip(cases, answers, strict=True) if case[1] is Polarity.RELAXES]

    assert all(0.1 < sum(sets) / len(answers) < 0.9 for sets in zip(*answers, strict=True))
    assert sum(certain and not at_worst for _, (at_worst, certain, _) in relaxing) > 50
    set_aside = [case for case, (_, certain, _) in relaxing if not certain and any(holds(case[0], world) for world in worlds(case[3], ALL))]
    assert len(set_aside) > 50

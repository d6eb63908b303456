"""Builders of rules, packs and facts rows for the engine's tests; every field that does not matter is filled in."""

import random
from collections.abc import Iterable, Sequence
from datetime import date

from bondwright.rulebook.condition import All, Any, Condition, Not, Operator, Test
from bondwright.rulebook.facts import UNKNOWN, Between, FactDefinition, Facts, Place
from bondwright.rulebook.kinds import Governed, Kinds
from bondwright.rulebook.pack import RulePack
from bondwright.rulebook.rule import Polarity, Rule

PLACE = Place("example.yaml", 1, 1)
STAGE, KIND = "require", "part"
CHOICES = ("copper", "steel", "plastic")
TEXT_FACTS = ("material", "surroundings", "sheathing")
NUMBER_FACTS = ("length", "bore", "reading")
NUMBERS = (-1.0, 0.0, 0.5, 1.0, 2.0)
COMPARISONS: tuple[Operator, ...] = ("at_least", "above", "at_most", "below")


def rule(rule_id: str, when: Condition, polarity: Polarity = Polarity.RAISES, *, stage: str = STAGE, of: str = KIND) -> Rule:
    """A rule of which only the condition and the polarity matter."""
    return Rule(rule_id, stage, of, polarity, when, "1.1", "a sentence", "example", "our_reading", "from_memory", PLACE, PLACE)


def pack(rules: Sequence[Rule], evidence: Iterable[str] = ()) -> RulePack:
    """A pack that holds nothing but rules; `evidence`: names of facts that nobody must supply."""
    return RulePack(
        pack_id="example-1-r1",
        digest="0" * 64,
        title="Example",
        standard="Example",
        usable_from=date(2026, 1, 1),
        usable_to=None,
        review_by=date(2027, 1, 1),
        note="",
        on_request=False,
        stages=tuple(dict.fromkeys(each.stage for each in rules)),
        facts={fact: FactDefinition(fact, (KIND,), "number", "", "", evidence=True) for fact in evidence},
        outcomes={},
        tables={},
        values={},
        properties={},
        asks={},
        joined=(),
        advice={},
        readings={},
        cautions=(),
        sources={},
        rules=tuple(rules),
        own_file=b"",
        language_file=b"",
        kinds=Kinds({}, Governed("", "nothing", "nothing", "nobody", "example", "our_reading", "from_memory"), PLACE),
    )


def random_test(rng: random.Random) -> Test:
    """A test of one of the facts above, a third of the comparisons against another fact."""
    if rng.random() < 0.5:
        return Test(rng.choice(TEXT_FACTS), "is", tuple(sorted(rng.sample(CHOICES, rng.randint(1, 2)))))
    operand = rng.choice(NUMBER_FACTS) if rng.random() < 0.33 else rng.choice(NUMBERS)
    return Test(rng.choice(NUMBER_FACTS), rng.choice(COMPARISONS), operand)


def random_condition(rng: random.Random, depth: int = 3) -> Condition:
    """A nested condition, empty members included, of at most 16 alternatives."""
    kind = rng.choice(("test", "test", "all", "any", "not")) if depth else "test"
    match kind:
        case "all" | "any":
            members = tuple(random_condition(rng, depth - 1) for _ in range(rng.choice((0, 1, 2, 2, 2))))
            return All(members) if kind == "all" else Any(members)
        case "not":
            return Not(random_condition(rng, depth - 1))
    return random_test(rng)


def random_rules(rng: random.Random, count: int) -> list[Rule]:
    """Rules `r0`, `r1`, … of random polarity."""
    return [rule(f"r{number}", random_condition(rng), rng.choice(list(Polarity))) for number in range(count)]


def random_facts(rng: random.Random) -> Facts:
    """A row with every fact present: a quarter unknown or a range."""
    row: dict[str, str | Between] = {fact: rng.choice((*CHOICES, UNKNOWN)) for fact in TEXT_FACTS}
    for fact in NUMBER_FACTS:
        ends = sorted((rng.choice(NUMBERS), rng.choice(NUMBERS)))
        row[fact] = Between(ends[0], ends[1] if rng.random() < 0.5 else ends[0])
    return row


def random_rows(rng: random.Random) -> tuple[Facts, Facts]:
    """What is known and what is certain of one subject: in a third of the rows the same, else alike in about half of the facts."""
    known = random_facts(rng)
    if rng.random() < 1 / 3:
        return known, known
    certain = {
        fact: value if rng.random() < 0.5 else other for (fact, value), other in zip(known.items(), random_facts(rng).values(), strict=True)
    }
    return known, certain


def random_evidence(rng: random.Random) -> frozenset[str]:
    """Names of facts that nobody must supply: from none to half of them."""
    names = (*TEXT_FACTS, *NUMBER_FACTS)
    return frozenset(rng.sample(names, rng.randint(0, len(names) // 2)))

"""A second opinion without a solver: the caution law on a finite form of each stage, row by row, with the reader that serves.

Every row is looked at where there are few enough, else a drawn share of them; the draw is the same every time.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import product
from math import prod
from random import Random
from typing import TypeAlias

from bondwright.conclude.levels import highest
from bondwright.conclude.sizes import size_of
from bondwright.proofs.cells import nothing, values
from bondwright.proofs.findings import Finding
from bondwright.rulebook import meaning
from bondwright.rulebook.condition import tests_in
from bondwright.rulebook.facts import Facts, FactValue
from bondwright.rulebook.meaning import acting
from bondwright.rulebook.pack import Outcome, RulePack
from bondwright.rulebook.rule import Polarity, Rule

ENOUGH = 3000
"""At most so many rows of an outcome are looked at, each with every fact of it withheld in turn."""

Acts: TypeAlias = Callable[[Sequence[Rule], Facts], frozenset[str]]


def searched(pack: RulePack, enough: int = ENOUGH, acts: Acts = acting) -> tuple[Finding, ...]:
    """An error for each outcome that a withheld fact makes less cautious, and how many rows were looked at.

    `acts`: which rules act on a row; another than the rule book's shows that the law can be broken.
    """
    found: list[Finding] = []
    looked_at = possible = 0
    for outcome in pack.outcomes.values():
        rules = _bearing_on(outcome, pack)
        names = _read_by(rules, pack)
        columns = [values(pack, name) for name in names]
        naming = {name: [rule for rule in rules if name in _tested(rule)] for name in names}
        possible += prod(map(len, columns))
        for row in _rows(columns, enough):
            looked_at += 1
            facts = dict(zip(names, row, strict=True))
            if worse := _withheld(outcome, rules, naming, facts, pack, acts):
                detail = f"`{outcome.name}` is less cautious when `{worse}` is withheld from {facts}"
                found.append(Finding("searched", "error", outcome.place, detail))
                break
    return (*found, Finding("searched", "information", None, f"{looked_at} of {possible} rows of the reduced form looked at"))


def _rows(columns: Sequence[Sequence[FactValue]], enough: int) -> Iterator[tuple[FactValue, ...]]:
    if prod(map(len, columns)) <= enough:
        yield from product(*columns)
        return
    draw = Random(enough)
    for _ in range(enough):
        yield tuple(draw.choice(column) for column in columns)


def _withheld(
    outcome: Outcome, rules: Sequence[Rule], naming: Mapping[str, Sequence[Rule]], facts: Facts, pack: RulePack, acts: Acts
) -> str:
    """A fact that makes the outcome less cautious by being withheld; empty where there is none.

    `naming`: by fact, the rules that test it.
    """
    if not rules:
        return ""
    ids = acts(rules, facts)
    told = _caution(outcome, rules, ids, facts, pack)
    for name, value in facts.items():
        unsaid = nothing(pack, name)
        if value == unsaid:
            continue
        without, some = {**facts, name: unsaid}, naming[name]
        then = ids.difference([rule.rule_id for rule in some]) | acts(some, without)  # the others read nothing that has changed
        if _caution(outcome, rules, then, without, pack) < told:
            return name
    return ""


def _caution(outcome: Outcome, rules: Sequence[Rule], ids: frozenset[str], facts: Facts, pack: RulePack) -> float:
    if outcome.levels:
        return highest(outcome, pack, ids)
    if not any(rule.rule_id in ids for rule in rules):
        return float("-inf")
    size = size_of(outcome, pack, meaning.Acts(ids, frozenset(), meaning.acts(rules, facts, facts, frozenset()).lowest), facts)
    return size.highest if outcome.cautious == "larger" else -size.lowest


def _bearing_on(outcome: Outcome, pack: RulePack) -> tuple[Rule, ...]:
    """The rules that raise or size an outcome, those that relax them, and those that block these."""
    polarities = (Polarity.RAISES, Polarity.SIZES)
    found = [rule for rule in pack.rules_of(outcome.stage, outcome.of) if rule.outcome == outcome.name and rule.polarity in polarities]
    for rule in found:  # grows while it is walked
        found += [other for other in pack.against(rule) if other not in found]
    return tuple(found)


def _tested(rule: Rule) -> set[str]:
    return {name for test in tests_in(rule.when) for name in (test.fact, test.operand) if isinstance(name, str)}


def _read_by(rules: Sequence[Rule], pack: RulePack) -> tuple[str, ...]:
    names: dict[str, None] = {}
    for rule in rules:
        for test in tests_in(rule.when):
            names[test.fact] = None
            if isinstance(test.operand, str):
                names[test.operand] = None
        names |= dict.fromkeys(pack.reads(rule))
    return tuple(names)

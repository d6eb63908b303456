"""From the rules that act to a level on a ladder: the most cautious acting level wins, so the order of rules never matters."""

from collections.abc import Iterable, Set
from typing import TypeAlias

from bondwright.conclude.conclusion import Level
from bondwright.rulebook.meaning import Acts
from bondwright.rulebook.pack import Outcome, RulePack
from bondwright.rulebook.rule import Rule

_Against: TypeAlias = tuple[tuple[str, frozenset[str]], ...]


def level_of(outcome: Outcome, pack: RulePack, acts: Acts) -> Level:
    """The level of one outcome on the row on which those rules act."""
    return Level(highest(outcome, pack, acts.worst_case), highest(outcome, pack, acts.certain), highest(outcome, pack, acts.lowest))


def highest(outcome: Outcome, pack: RulePack, acting: Set[str]) -> int:
    """The most cautious level, as an index, to which a rule raises it, where the rules called `acting` act; no truth bears on it."""
    raised_by, steps = pack.derived(("steps", outcome.name), lambda: (pack.raised_by(outcome), _steps(outcome, pack)))
    if raised_by.isdisjoint(acting):
        return 0
    for index, rule_id, against in steps:
        if rule_id in acting:
            for relaxing, blocks in against:
                if relaxing in acting and blocks.isdisjoint(acting):
                    break
            else:
                return index
    return 0


def _steps(outcome: Outcome, pack: RulePack) -> tuple[tuple[int, str, _Against], ...]:
    """The rules that raise it, the highest level first: that as an index, the rule, and what relaxes it with what blocks each of those."""
    steps = [
        (outcome.levels.index(rule.level), rule.rule_id, tuple((one.rule_id, _ids(pack.against(one))) for one in pack.against(rule)))
        for rule in pack.raising(outcome)
    ]
    return tuple(sorted(steps, key=lambda step: -step[0]))


def _ids(rules: Iterable[Rule]) -> frozenset[str]:
    return frozenset(rule.rule_id for rule in rules)


def cancelled(rule: Rule, pack: RulePack, acting: Set[str]) -> bool:
    """Whether a raising rule is cancelled: some relaxing rule acts on it and none blocks that one."""
    return bool(cancelled_by(rule, pack, acting))


def cancelled_by(rule: Rule, pack: RulePack, acting: Set[str]) -> list[Rule]:
    """The relaxing rules that cancel a raising one: they act, and nothing blocks them."""
    return [relaxing for relaxing in pack.against(rule) if relaxing.rule_id in acting and not blocked_by(relaxing, pack, acting)]


def blocked_by(relaxing: Rule, pack: RulePack, acting: Set[str]) -> list[Rule]:
    """The rules that act and block a relaxing one."""
    return [block for block in pack.against(relaxing) if block.rule_id in acting]

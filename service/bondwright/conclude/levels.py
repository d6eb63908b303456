"""From the rules that act to a level on a ladder: the most cautious acting level wins, so the order of rules never matters."""

from collections.abc import Set

from bondwright.conclude.conclusion import Level
from bondwright.rulebook.meaning import Acts
from bondwright.rulebook.pack import Outcome, RulePack
from bondwright.rulebook.rule import Rule


def level_of(outcome: Outcome, pack: RulePack, acts: Acts) -> Level:
    """The level of one outcome on the row on which those rules act."""
    return Level(highest(outcome, pack, acts.worst_case), highest(outcome, pack, acts.certain), highest(outcome, pack, acts.lowest))


def highest(outcome: Outcome, pack: RulePack, acting: Set[str]) -> int:
    """The most cautious level, as an index, to which a rule raises it, where the rules called `acting` act; no truth bears on it."""
    if pack.raised_by(outcome).isdisjoint(acting):
        return 0
    found = 0
    for rule in pack.raising(outcome):
        if rule.rule_id in acting:
            index = outcome.levels.index(rule.level)
            if index > found and not cancelled(rule, pack, acting):
                found = index
    return found


def cancelled(rule: Rule, pack: RulePack, acting: Set[str]) -> bool:
    """Whether a raising rule is cancelled: some relaxing rule acts on it and none blocks that one."""
    return bool(cancelled_by(rule, pack, acting))


def cancelled_by(rule: Rule, pack: RulePack, acting: Set[str]) -> list[Rule]:
    """The relaxing rules that cancel a raising one: they act, and nothing blocks them."""
    return [relaxing for relaxing in pack.against(rule) if relaxing.rule_id in acting and not blocked_by(relaxing, pack, acting)]


def blocked_by(relaxing: Rule, pack: RulePack, acting: Set[str]) -> list[Rule]:
    """The rules that act and block a relaxing one."""
    return [block for block in pack.against(relaxing) if block.rule_id in acting]

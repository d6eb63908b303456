"""From the rules that act to a size: every rule that may act counts towards the cautious end, only certain ones against it."""

from bondwright.conclude.conclusion import Size
from bondwright.rulebook.facts import Between, Facts
from bondwright.rulebook.meaning import Acts
from bondwright.rulebook.pack import Outcome, RulePack
from bondwright.rulebook.rule import Polarity, Rule
from bondwright.rulebook.sizing import compute

_SIZES, _PROVIDES = Polarity.SIZES, Polarity.PROVIDES


def size_of(outcome: Outcome, pack: RulePack, acts: Acts, facts: Facts) -> Size:
    """The range of one size on a row. Raises: Contradiction, if no rule of the pack may act.

    What serves for now is never less cautious than what is certain, in packs that are bounded so.
    """
    rules = [
        rule
        for rule in pack.rules_of(outcome.stage, outcome.of)
        if rule.outcome == outcome.name and rule.polarity in (_SIZES, _PROVIDES) and rule.rule_id in acts.worst_case
    ]
    possible = {rule.rule_id: _computed(rule, facts, pack) for rule in rules if rule.polarity is _SIZES}
    certain = [value for rule_id, value in possible.items() if rule_id in acts.lowest]
    provided = [_computed(rule, facts, pack).highest for rule in rules if rule.polarity is _PROVIDES]
    if not possible:
        raise pack.fault(f"has no rule that gives `{outcome.name}` here")
    if outcome.cautious == "larger":
        lowest = max(value.lowest for value in certain) if certain else min(value.lowest for value in possible.values())
        highest = max(value.highest for value in possible.values())
    else:
        lowest = min(value.lowest for value in possible.values())
        highest = min(value.highest for value in certain) if certain else max(value.highest for value in possible.values())
    if not provided or lowest == highest:
        return Size(lowest, highest, None)
    for_now = max(provided)
    if pack.bounds_for_now:
        for_now = max(for_now, lowest) if outcome.cautious == "larger" else min(for_now, highest)
    return Size(lowest, highest, for_now)


def _computed(rule: Rule, facts: Facts, pack: RulePack) -> Between:
    assert rule.form is not None, "the shelf gives every sizing rule a form"
    return compute(rule.form, facts, pack.tables)

"""From the rules that act to a size: every rule that may act counts towards the cautious end, only certain ones against it."""

from collections.abc import Set

from bondwright.conclude.conclusion import Size
from bondwright.errors import NoSize
from bondwright.rulebook.facts import Facts
from bondwright.rulebook.meaning import Acts
from bondwright.rulebook.pack import Outcome, RulePack
from bondwright.rulebook.sizing import Ends


def size_of(outcome: Outcome, pack: RulePack, acts: Acts, facts: Facts) -> Size:
    """The range of one size on a row. Raises: NoSize, if no rule of the pack may act.

    What serves for now is never less cautious than what is certain, in packs that are bounded so.
    """
    return size_where(outcome, pack, acts.worst_case, acts.lowest, facts)


def size_where(outcome: Outcome, pack: RulePack, may_act: Set[str], surely_act: Set[str], facts: Facts) -> Size:
    """The same, where those rules act at worst and at least."""
    sizing, providing = pack.sizing(outcome)
    possible, certain = list[Ends](), list[Ends]()
    for rule_id, computes in sizing:
        if rule_id in may_act:
            possible.append(computes(facts))
            if rule_id in surely_act:
                certain.append(possible[-1])
    if not possible:
        raise NoSize(pack.fault(f"has no rule that gives `{outcome.name}` here").faults, outcome.name, outcome.of)
    if outcome.cautious == "larger":
        lowest = max([least for least, _ in certain]) if certain else min([least for least, _ in possible])
        highest = max([most for _, most in possible])
    else:
        lowest = min([least for least, _ in possible])
        highest = min([most for _, most in certain]) if certain else max([most for _, most in possible])
    if lowest == highest:
        return Size(lowest, highest, None)
    provided = [computes(facts)[1] for rule_id, computes in providing if rule_id in may_act]
    if not provided:
        return Size(lowest, highest, None)
    for_now = max(provided)
    if pack.bounds_for_now:
        for_now = max(for_now, lowest) if outcome.cautious == "larger" else min(for_now, highest)
    return Size(lowest, highest, for_now)

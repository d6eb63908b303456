"""The one act after which supplementary bonding may be omitted, where one is enough."""

from collections.abc import Mapping
from dataclasses import replace

from bondwright.evaluate.reasoning.ladder import Standing
from bondwright.evaluate.reasoning.stages import Acting, Subject, run_stages
from bondwright.evaluate.rooms.house import House
from bondwright.evaluate.rooms.touching import OUTCOME, ROOM
from bondwright.rulebook.facts import FactValue
from bondwright.rulebook.pack import RulePack

_TABLE = "acts_that_free"
_PLAN = "plan"


def omitted_once(one: Subject, with_plan: Subject, house: House, pack: RulePack, acting: Acting) -> str | None:
    """The one act after which supplementary bonding may be omitted; none if it may be already, or more than one act is needed."""
    now, table = one.levels[OUTCOME].worst_case, pack.rows(_TABLE)
    if not table or now < len(pack.outcomes[OUTCOME].levels) - 1:
        return None
    if with_plan.levels[OUTCOME].worst_case < now:
        names = [part.head.name for part in house.parts if house.acts[part.subject.name].advice.mark == "do"]
        words = pack.cell(_TABLE, _PLAN, "words")
        return f"{words}: {', '.join(names)}" if names else words
    acts = {fact: row["words"] for fact, row in table.items() if fact in one.facts}
    changed = [_bare(one, {fact: "yes"}) for fact in acts]
    for words, after in zip(acts.values(), run_stages(pack, ROOM, changed, acting), strict=True):
        if after.levels[OUTCOME].worst_case < now:
            return words
    return None


def _bare(one: Subject, facts: Mapping[str, FactValue]) -> Subject:
    return replace(
        one,
        facts={**one.facts, **facts},
        settled={**one.settled, **facts},
        levels={},
        sizes={},
        acting=frozenset(),
        stands=Standing({}, {}),
    )

"""The one act after which supplementary bonding may be omitted, where one is enough."""

from dataclasses import replace

from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.rooms.rows import OUTCOME
from bondwright.facts.row import Judged, judged

ACTS_THAT_FREE = "acts_that_free"
"""The table of such acts, by the fact that each brings about."""
PLAN = "plan"
"""Its row for the connections of the plan."""


def frees(room: Judged, with_plan: Judged, reasoning: Reasoning) -> str | None:
    """The act, as the table names it; none if supplementary bonding may be omitted already, or more than one act is needed."""
    pack = reasoning.pack
    now, table = room.levels[OUTCOME].worst_case, pack.rows(ACTS_THAT_FREE)
    if not table or now < len(pack.outcomes[OUTCOME].levels) - 1:
        return None
    if with_plan.levels[OUTCOME].worst_case < now:
        return PLAN
    acts = [fact for fact in table if fact in room.row.facts]
    changed = [replace(room.row, facts={**room.row.facts, fact: "yes"}) for fact in acts]
    after = judged(changed, reasoning)
    return next((fact for fact, room_after in zip(acts, after, strict=True) if room_after.levels[OUTCOME].worst_case < now), None)

"""Each earthing besides that of the supply: how it stands to that one, what to do, and what an inspection reports of it."""

from collections.abc import Iterable, Sequence
from typing import Final

from bondwright.compose.answer import EarthingAnswer, NotJudged, Verdict
from bondwright.compose.not_judged import earthing_not_judged, left_open
from bondwright.compose.observations import observation
from bondwright.compose.sentences import sentence
from bondwright.compose.verdicts import verdict
from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.earthings.described import FurtherEarthing, further_earthings
from bondwright.facts.row import Judged
from bondwright.facts.scope import Scope, Unjudged
from bondwright.installation.description import InspectedWork, Installation
from bondwright.rulebook.declared.acts import AGAIN, OF_EARTHINGS
from bondwright.rulebook.kinds import Kind
from bondwright.rulebook.pack import NOT_JUDGED, RulePack

_EARTHING: Final = "earthing"


def earthing_answers(installation: Installation, found: Sequence[Judged], aside: Scope, reasoning: Reasoning) -> tuple[EarthingAnswer, ...]:
    """One answer per further earthing, in the order of the description. `found`: each judged; `aside`: what is not judged."""
    described = further_earthings(installation).values()
    if aside.earthings or not reasoning.pack.roles.further_earthing:
        return tuple(
            earthing_not_judged(one.described.id, one.pointer, _unjudged(one, aside, reasoning.pack), reasoning.pack) for one in described
        )
    inspected = isinstance(installation.work, InspectedWork)
    return tuple(_answer(one, inspected, reasoning) for one in found)


def earthings_not_judged(
    installation: Installation, answers: Iterable[EarthingAnswer], aside: Scope, pack: RulePack
) -> tuple[NotJudged, ...]:
    """Those that are not judged, each with whom to ask."""
    described = further_earthings(installation)
    return tuple(
        left_open(_unjudged(described[one.earthing], aside, pack), one.name, one.pointer, pack) for one in answers if one.act == NOT_JUDGED
    )


def _unjudged(further: FurtherEarthing, aside: Scope, pack: RulePack) -> Unjudged:
    """An earthing in premises that are not judged, or of which the pack has no rule."""
    kind = further.described.rests_on
    premises = aside.earthings
    why = premises.why if premises else Kind(_EARTHING, kind, pack.kinds.general, pack.kinds.place)
    return Unjudged(_EARTHING, kind, why, premises.question_at if premises else None)


def _do(told: Verdict, pack: RulePack) -> str:
    """What the act is called by: what is safe to act on; short of the most cautious level, where nothing is asked, another reading."""
    *levels, most_cautious = pack.outcomes[told.outcome].levels
    by_reading = told.act_on not in levels and told.worst_case != most_cautious and not told.questions
    return AGAIN if by_reading else told.act_on


def _answer(found: Judged, inspected: bool, reasoning: Reasoning) -> EarthingAnswer:
    pack, roles = reasoning.pack, reasoning.pack.roles
    told = verdict(found, roles.further_earthing, reasoning)
    findings = (verdict(found, roles.earthing_reported, reasoning),) if inspected and roles.earthing_reported else ()
    advice = pack.advice[f"{OF_EARTHINGS}{_do(told, pack)}"]
    words = {_EARTHING: found.name}
    return EarthingAnswer(
        earthing=found.name,
        pointer=found.pointer,
        name=found.name,
        act=advice.act,
        mark=advice.mark,
        line=sentence(advice.line, words),
        customer=advice.customer,
        ways_out=advice.ways_out,
        tests=advice.tests,
        verdicts=(told,),
        findings=findings,
        observation=observation(findings, (), pack),
    )

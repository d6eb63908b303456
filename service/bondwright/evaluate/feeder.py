"""The circuit that feeds the premises from another installation: may its protective conductor serve as the main bond."""

from bondwright.evaluate.acts import sentence, size_words
from bondwright.evaluate.answer import FeederAnswer
from bondwright.evaluate.reasoning.stages import Subject
from bondwright.evaluate.reasoning.verdicts import size_verdict, verdict
from bondwright.evaluate.scope.answers import feeder_not_judged
from bondwright.evaluate.scope.deciding import Scope
from bondwright.installation.description import Installation
from bondwright.rulebook.pack import RulePack

_OUTCOME = "feeder_conductor"
_POINTER, _NAME = "/supply/feeder", "the feeding circuit"


def feeder_answer(installation: Installation, supply: Subject, aside: Scope, pack: RulePack) -> FeederAnswer | None:
    """What to do about the feeding circuit; none where none is described, or the pack does not say.

    `supply`: the judged supply. `aside`: what is not judged.
    """
    if installation.supply.feeder is None or _OUTCOME not in pack.outcomes:
        return None
    if aside.premises:
        return feeder_not_judged(_OUTCOME, _POINTER, _NAME, aside.premises, pack)
    told = verdict(supply, _OUTCOME, pack)
    act = "feeder_serves" if supply.levels[_OUTCOME].worst_case == 0 else "feeder_enlarge" if told.firm else "feeder_settle"
    advice = pack.advice[act]
    words = {"size": size_words(size_verdict(supply, "main_bond_size", pack))}
    return FeederAnswer(
        pointer=_POINTER,
        act=act,
        mark=advice.mark,
        line=sentence(advice.line, words),
        customer=advice.customer,
        ways_out=advice.ways_out,
        tests=advice.tests,
        verdict=told,
    )

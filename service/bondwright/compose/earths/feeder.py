"""The circuit that feeds the premises from another installation: may its protective conductor stay, and serve as the main bond."""

from bondwright.compose.answer import FeederAnswer, Verdict
from bondwright.compose.not_judged import feeder_not_judged
from bondwright.compose.sentences import sentence, size_words
from bondwright.compose.verdicts import size_verdict, verdict
from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.row import Judged
from bondwright.facts.scope import Scope
from bondwright.installation.description import Installation
from bondwright.rulebook.facts import UNKNOWN, Between

_OWN = "own_electrode"
_POINTER = "/supply/feeder"


def feeder_answer(installation: Installation, supply: Judged, aside: Scope, reasoning: Reasoning) -> FeederAnswer | None:
    """What to do about the feeding circuit; none where none is described, or the pack does not say.

    `supply`: the judged supply. `aside`: what is not judged.
    """
    pack, roles = reasoning.pack, reasoning.pack.roles
    if installation.supply.feeder is None or roles.feeder_bond not in pack.outcomes:
        return None
    if aside.premises:
        return feeder_not_judged(roles.feeder_bond, _POINTER, pack.say("name_feeder"), aside.premises, pack)
    told = _between_earths(supply, reasoning) or verdict(supply, roles.feeder_bond, reasoning)
    act = _apart(told, supply) if told.outcome == roles.feeder_parting else _as_main_bond(told, supply)
    advice = pack.advice[act]
    words = {"size": size_words(size_verdict(supply, roles.main_bond, reasoning), pack.say)}
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


def _as_main_bond(told: Verdict, supply: Judged) -> str:
    """The act by whether the protective conductor is large enough to serve as the main bond."""
    return "feeder_serves" if supply.levels[told.outcome].worst_case == 0 else "feeder_enlarge" if told.firm else "feeder_settle"


def _between_earths(supply: Judged, reasoning: Reasoning) -> Verdict | None:
    """What the protective conductor must not join; none where no electrode here can be the only earth, or it stays whatever that is."""
    comes_by, parting = supply.facts["earth_comes_by"], reasoning.pack.roles.feeder_parting
    if parting not in reasoning.pack.outcomes or comes_by not in (_OWN, UNKNOWN):
        return None
    told = verdict(supply, parting, reasoning)
    return None if comes_by == UNKNOWN and told.firm else told


def _apart(told: Verdict, supply: Judged) -> str:
    """The act by what the protective conductor must not join."""
    if supply.facts["earth_comes_by"] == UNKNOWN:
        return "feeder_ask"
    if told.worst_case == "show_first":
        return "feeder_show_first"
    if not told.firm:
        return "feeder_ask_conductor"
    if told.worst_case == "separate":
        return "feeder_separate"
    conductor = supply.facts["feeder_protective_equivalent"]
    none = isinstance(conductor, Between) and conductor.highest == 0
    return "feeder_brings_no_earth" if none else "feeder_joins_both"

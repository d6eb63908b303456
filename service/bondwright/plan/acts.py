"""From duty, objection and what the bonds come to, to one act per part; and which parts the plan connects, and which those serve."""

from collections.abc import Mapping, Sequence

from msgspec import Struct

from bondwright.conclude.conclusion import Level
from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.parts.part import Part, required
from bondwright.facts.row import Judged
from bondwright.metalwork.graph import Run
from bondwright.metalwork.lengths import Survey
from bondwright.metalwork.plan import connections, served
from bondwright.plan.bond_states import NO_BOND, SERVING
from bondwright.rulebook.facts import NO
from bondwright.rulebook.pack import COVERED, NOT_JUDGED, Advice, RulePack

_LOOKING_FIRST = frozenset({"look_for_bond", "look_then_measure"})
_ON_SHARED = frozenset({"look_for_bond_on_shared", "look_for_both"})
LOOKING = _LOOKING_FIRST | _ON_SHARED
"""Acts that begin with a look for a bond of which nobody spoke."""
READ_NEXT = frozenset({"bond", "measure_or_bond", "measure_or_repair"}) | _LOOKING_FIRST
"""Acts that a reading could spare."""
CONNECTING = READ_NEXT | LOOKING | {"repair", "bond_shared", "look_or_bond", "look_or_repair"}
"""Acts that may come to a new connection."""


TO_CONNECT = ("do", "measure_first")
"""Marks of parts that the plan connects."""


class Act(Struct, frozen=True):
    """What to do about a part: the act, its advice, and the parts whose connections serve it."""

    name: str
    advice: Advice
    covered_by: tuple[str, ...]


def acts_of(parts: Sequence[Part], states: Mapping[str, str], surveyed: Survey, reasoning: Reasoning) -> Mapping[str, Act]:
    """The act for each part by the part's name; `states`: what its bonds come to.

    The plan connects only what may be connected: where something speaks against a part, a potential is taken to pass on
    through it, and the next part is connected instead; so it is where no rule covers a part. Metal outside
    that may be joined to a part with a bond or connection, as a tap to a bonded pipe, stays as it is.
    """
    by_run = {part.run: part for part in parts if part.run}
    alone = {part.name: _alone(part, states[part.name], reasoning) for part in parts}
    calls: dict[Run, bool] = {run: run in by_run and _to_connect(by_run[run], alone, states, reasoning.pack) for run in surveyed.graph.runs}
    bonded = frozenset(run for run, part in by_run.items() if states[part.name] in SERVING)
    plan = connections(surveyed.graph, calls, bonded)
    outside = [run for run, part in by_run.items() if part.in_scope and part.stays_outside and states[part.name] in NO_BOND]
    joined = {run: servers for run, servers in served(outside, frozenset(plan.connect) | bonded, surveyed.graph).items() if servers}
    covered = {**joined, **plan.covered}
    named = {servers: tuple(by_run[server].name for server in servers) for servers in {*covered.values()}}
    serving = {by_run[run].name: named[servers] for run, servers in covered.items()}
    bonded_at = {node: part for run, part in by_run.items() if run in bonded for node in run}
    serving |= {by_run[run].name: _beside(run, bonded_at, surveyed) for run in plan.bonded if run not in bonded}
    return alone | {part.name: _joined(part.judged, COVERED, serving[part.name], reasoning) for part in parts if part.name in serving}


def _beside(run: Run, bonded_at: Mapping[str, Part], surveyed: Survey) -> tuple[str, ...]:
    """The bonded parts, in their order, with which a length that may be metal is certainly one piece, if it is metal."""
    beside = {bonded_at[end].name for node in run for end in surveyed.graph.certain[node] if end in bonded_at}
    if len(beside) < 2:
        return tuple(beside)
    return tuple(dict.fromkeys(part.name for part in bonded_at.values() if part.name in beside))


def _to_connect(part: Part, alone: Mapping[str, Act], states: Mapping[str, str], pack: RulePack) -> bool:
    name = part.name
    return part.in_scope and required(part, pack) != "no" and (states[name] in SERVING or alone[name].advice.mark in TO_CONNECT)


def _alone(part: Part, state: str, reasoning: Reasoning) -> Act:
    return _joined(part.judged, state, (), reasoning) if part.in_scope else Act(NOT_JUDGED, reasoning.pack.advice[NOT_JUDGED], ())


def _joined(part: Judged, state: str, covered_by: tuple[str, ...], reasoning: Reasoning) -> Act:
    pack, roles = reasoning.pack, reasoning.pack.roles
    duty, objection = part.levels[roles.duty], part.levels[roles.objection]
    key = ("joined", duty.worst_case, duty.firm, objection.worst_case, objection.firm, state)
    named = reasoning.kept(key, lambda: _row_that_fits(duty, objection, state, pack))
    act = (pack.advice[named].if_shared if part.facts["reaches_other_installation"] != NO else "") or named
    return Act(act, pack.advice[act], covered_by if act == COVERED else ())


def _row_that_fits(duty: Level, objection: Level, state: str, pack: RulePack) -> str:
    """The act of the first row of the joined table that fits."""
    duties, objections = (pack.outcomes[name].levels for name in (pack.roles.duty, pack.roles.objection))
    duty_word, objection_word = duties[duty.worst_case], objections[objection.worst_case]
    for row in pack.joined:
        if row.fits(duty_word, objection_word, state, _yes(duty.firm), _yes(objection.firm)):
            return row.act
    told = f"duty `{duty_word}`, objection `{objection_word}` and bond `{state}`"
    raise pack.fault(f"has no row in `joined` for {told}")


def _yes(holds: bool) -> str:
    return "yes" if holds else "no"

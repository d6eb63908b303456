"""The row of what an inspection has to report of each part: one finding for one cause, danger and how far it is verified apart."""

from collections.abc import Iterable, Mapping, Sequence

from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.asking import ask_keys, ask_open
from bondwright.facts.bonds import JudgedBond
from bondwright.facts.parts.part import REQUIRED, Part, called_for
from bondwright.facts.row import Asked, Judged, Row, at_least, judged, row_of
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, known
from bondwright.rulebook.facts import FactValue
from bondwright.rulebook.pack import RulePack

FINDING = "finding"
_REFUSED, _ASK_FIRST = "owner_refused", "ask_first"
_BOND, _THERE = "finding_bond", "reported_there"
_FAILED = "cannot_rely"
"""From this level on a bond has failed."""
_BONDS: Mapping[str, str] = {
    "none": "none",
    "not_told": "none",
    "counts": "connects",
    "departs": "connects",
    "mend": "connects",
    "cannot_rely": "not_shown",
    "failed": "fails",
}
"""The bond found, by what the bonds of a part come to."""


def judged_findings(
    parts: Iterable[Part],
    served_by: Mapping[str, tuple[str, ...]],
    bonds: Mapping[str, Sequence[JudgedBond]],
    states: Mapping[str, str],
    reasoning: Reasoning,
) -> Mapping[str, Judged]:
    """What there is to report of each part, by the part's name; nothing where the pack has no findings.

    `served_by`: the parts whose connections serve it. `bonds`: those found on each part. `states`: what they come to.
    """
    if not any(outcome.of == FINDING for outcome in reasoning.pack.outcomes.values()):
        return {}
    rows = [_row(part, served_by[part.name], bonds[part.name], states, reasoning) for part in parts]
    return {finding.name: finding for finding in judged(rows, reasoning)}


def tells_once(pack: RulePack) -> bool:
    """Whether the pack tells one cause once: packs published before there was such a bond to be found told it of each part."""
    return _BOND in pack.facts and _THERE in pack.facts[_BOND].choices


def _row(part: Part, servers: tuple[str, ...], bonds: Sequence[JudgedBond], states: Mapping[str, str], reasoning: Reasoning) -> Row:
    pack = reasoning.pack
    duty = called_for(part.judged, pack)
    facts: dict[str, FactValue] = {
        "finding_duty": duty,
        "finding_duty_in_doubt": "yes" if duty == "unknown" else "no",
        "finding_bond": _bond(part, servers, states, pack),
        "finding_bond_failed": "no" if servers else _failed(bonds, pack),
        "finding_refused": _refused(part.judged, pack),
        "finding_ask_first": _to_ask(part.judged, pack),
        "finding_limited": both(*(known(length.service.left_out_by_agreement) for length in part.lengths)),
    }
    return row_of(pack, FINDING, part.name, part.judged.pointer, facts, _asked(part, bonds, reasoning))


def _refused(part: Judged, pack: RulePack) -> str:
    objection = part.levels[pack.roles.objection]
    if pack.outcomes[pack.roles.objection].levels[objection.worst_case] != _REFUSED:
        return "no"
    return "yes" if objection.firm else "unknown"


def _to_ask(part: Judged, pack: RulePack) -> str:
    """Whether it comes to asking first and to nothing more; no pack without such a level has the fact."""
    objection, levels = part.levels[pack.roles.objection], pack.outcomes[pack.roles.objection].levels
    asking = levels.index(_ASK_FIRST) if _ASK_FIRST in levels else len(levels)
    if objection.firm:
        return "yes" if objection.worst_case == asking else "no"
    return "unknown" if objection.lowest <= asking <= objection.worst_case else "no"


def _bond(part: Part, servers: tuple[str, ...], states: Mapping[str, str], pack: RulePack) -> str:
    """What bond it has; served by another part's only where that one connects already, else it is that part's finding."""
    if servers and all(_BONDS[states[server]] == "connects" for server in servers):
        return "served"
    if servers and tells_once(pack):
        return _THERE
    found = _BONDS[states[part.name]]
    return "unknown" if found == "none" and not part.bonds_known else found


def _failed(bonds: Sequence[JudgedBond], pack: RulePack) -> Known:
    """Whether every bond found has failed; unknown where what is not told of one may still show that it has."""
    return both(*(at_least(bond.judged, pack.roles.counts, _FAILED, pack) for bond in bonds)) if bonds else "no"


def _asked(part: Part, bonds: Sequence[JudgedBond], reasoning: Reasoning) -> Mapping[str, tuple[Asked, ...]]:
    roles = reasoning.pack.roles
    about_duty = ask_open(part.judged, roles.duty, reasoning, REQUIRED)
    # Where only a reading settles the duty, whom to ask moves nothing that is reported.
    in_doubt = called_for(part.judged, reasoning.pack) == "unknown" and not about_duty
    return {
        "finding_duty": about_duty,
        "finding_duty_in_doubt": about_duty,
        "finding_bond": ask_keys([length.gaps.get("bonds") for length in part.lengths], reasoning.pack),
        "finding_bond_failed": tuple(question for bond in bonds for question in ask_open(bond.judged, roles.counts, reasoning, _FAILED)),
        "finding_refused": ask_open(part.judged, roles.objection, reasoning, _REFUSED),
        "finding_ask_first": () if in_doubt else ask_open(part.judged, roles.objection, reasoning, _ASK_FIRST),
    }

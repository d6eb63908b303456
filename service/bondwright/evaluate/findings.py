"""What an inspection has to report of each part: one finding for one cause, danger and how far it is verified apart."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from bondwright.evaluate.acts import OBJECTION, Act
from bondwright.evaluate.answer import BondAnswer, Observation, PartAnswer, Question, Verdict
from bondwright.evaluate.bonds import REPORT, is_found
from bondwright.evaluate.parts import DUTY, REQUIRED, Part, called_for
from bondwright.evaluate.reasoning.observations import observation
from bondwright.evaluate.reasoning.questions import open_questions, questions_of
from bondwright.evaluate.reasoning.stages import Acting, Subject, run_stages, subject
from bondwright.evaluate.reasoning.verdicts import verdict
from bondwright.metalwork.known import both, known
from bondwright.rulebook.facts import FactValue
from bondwright.rulebook.pack import RulePack

FINDING = "finding"
_REFUSED, _ASK_FIRST = "owner_refused", "ask_first"
_BOND, _THERE = "finding_bond", "reported_there"
_BONDS: Mapping[str, str] = {
    "none": "none",
    "not_told": "none",
    "counts": "connects",
    "departs": "connects",
    "mend": "connects",
    "cannot_rely": "not_shown",
    "failed": "fails",
}
"""The bond found, by the state in which `evaluate.bonds` puts it."""


def findings_of(
    parts: Sequence[Part],
    acts: Mapping[str, Act],
    states: Mapping[str, str],
    pack: RulePack,
    acting: Acting,
) -> Mapping[str, tuple[Verdict, ...]]:
    """The findings of each part by the part's name; none where the pack has none."""
    named = [outcome.name for outcome in pack.outcomes.values() if outcome.of == FINDING]
    if not named:
        return {part.subject.name: () for part in parts}
    judged = run_stages(pack, FINDING, [_finding(part, acts, states, pack) for part in parts], acting)
    return {one.name: tuple(verdict(one, name, pack) for name in named) for one in judged}


def reported(answer: PartAnswer, findings: tuple[Verdict, ...], pack: RulePack) -> PartAnswer:
    """The answer of a part with what an inspection reports of it and of the bonds that are on it.

    What is wrong with a bond is told of the part, where nothing else is; the most severe, if several bonds have something.
    """
    own = observation(findings, (), pack)
    of_bonds = [_of_bond(bond, pack) for bond in answer.bonds]
    if own is None and _tells_once(pack):
        codes = pack.outcomes[REPORT].codes
        own = max((one for one in of_bonds if one), key=lambda one: codes.index(one.code), default=None)
    bonds = tuple(replace(bond, observation=None if one is own else one) for bond, one in zip(answer.bonds, of_bonds, strict=True))
    return replace(answer, findings=findings, observation=own, bonds=bonds)


def _of_bond(bond: BondAnswer, pack: RulePack) -> Observation | None:
    reporting = [one for one in bond.verdicts if one.outcome == REPORT]
    return observation(reporting, [one for one in bond.verdicts if is_found(one.outcome)], pack)


def _finding(part: Part, acts: Mapping[str, Act], states: Mapping[str, str], pack: RulePack) -> Subject:
    one = part.subject
    duty = called_for(one, pack)
    facts: dict[str, FactValue] = {
        "finding_duty": duty,
        "finding_duty_in_doubt": "yes" if duty == "unknown" else "no",
        "finding_bond": _bond(part, acts, states, pack),
        "finding_refused": _refused(one, pack),
        "finding_ask_first": _to_ask(one, pack),
        "finding_limited": both(*(known(length.limited) for length in part.lengths)),
    }
    return subject(pack, FINDING, one.name, one.pointer, facts, _questions(part, pack))


def _refused(one: Subject, pack: RulePack) -> str:
    objection = one.levels[OBJECTION]
    if pack.outcomes[OBJECTION].levels[objection.worst_case] != _REFUSED:
        return "no"
    return "yes" if objection.firm else "unknown"


def _to_ask(one: Subject, pack: RulePack) -> str:
    """Whether it comes to asking first and to nothing more; no pack without such a level has the fact."""
    objection, levels = one.levels[OBJECTION], pack.outcomes[OBJECTION].levels
    asking = levels.index(_ASK_FIRST) if _ASK_FIRST in levels else len(levels)
    if objection.firm:
        return "yes" if objection.worst_case == asking else "no"
    return "unknown" if objection.lowest <= asking <= objection.worst_case else "no"


def _tells_once(pack: RulePack) -> bool:
    """Whether the pack tells one cause once: packs published before there was such a bond to be found told it of each part."""
    return _BOND in pack.facts and _THERE in pack.facts[_BOND].choices


def _bond(part: Part, acts: Mapping[str, Act], states: Mapping[str, str], pack: RulePack) -> str:
    """What bond it has; served by another part's only where that one connects already, else it is that part's finding."""
    name = part.subject.name
    servers = acts[name].covered_by
    if servers and all(_BONDS[states[one]] == "connects" for one in servers):
        return "served"
    if servers and _tells_once(pack):
        return _THERE
    found = _BONDS[states[name]]
    return "unknown" if found == "none" and not part.bonds_known else found


def _questions(part: Part, pack: RulePack) -> Mapping[str, tuple[Question, ...]]:
    about_duty = open_questions(part.subject, DUTY, pack, REQUIRED)
    # Where only a reading settles the duty, whom to ask moves nothing that is reported.
    in_doubt = called_for(part.subject, pack) == "unknown" and not about_duty
    return {
        "finding_duty": about_duty,
        "finding_duty_in_doubt": about_duty,
        "finding_bond": questions_of([length.gaps.get("bonds") for length in part.lengths], pack),
        "finding_refused": open_questions(part.subject, OBJECTION, pack, _REFUSED),
        "finding_ask_first": () if in_doubt else open_questions(part.subject, OBJECTION, pack, _ASK_FIRST),
    }

"""Existing bonds as they are answered: what is wrong with those of a part, and each with its verdicts."""

from collections.abc import Sequence

from bondwright.compose.answer import BondAnswer
from bondwright.compose.verdicts import verdict
from bondwright.conclude.reasoning import Reasoning
from bondwright.conclude.reasons import is_finding, to_act_on
from bondwright.facts.bonds import BOND, JudgedBond
from bondwright.rulebook.held import Roles
from bondwright.rulebook.pack import RulePack
from bondwright.said import joined


def bond_findings(bonds: Sequence[JudgedBond], pack: RulePack) -> str:
    """What is surely wrong with the bonds of a part, in the words of the pack."""
    levels = [(pack.outcomes[name], level) for bond in bonds for name, level in bond.judged.levels.items() if is_found(name, pack.roles)]
    told = [(outcome, level.firm, *to_act_on(outcome, level)) for outcome, level in levels]
    return joined("; ", dict.fromkeys(words for outcome, firm, act_on, words in told if is_finding(outcome, act_on, firm)))


def is_found(outcome: str, roles: Roles) -> bool:
    """Whether an outcome of a bond is about something found on it, not concluded from what was found."""
    return outcome not in _concluded(roles)


def _concluded(roles: Roles) -> tuple[str, ...]:
    return roles.complies, roles.bond_reported, roles.taken_off


def bond_answer(bond: JudgedBond, inspected: bool, reasoning: Reasoning) -> BondAnswer:
    """A judged bond as it is answered; `inspected`: whether the work is one that reports."""
    pack, roles = reasoning.pack, reasoning.pack.roles
    told = [name for name in pack.outcomes if pack.outcomes[name].of == BOND and (inspected or name != roles.bond_reported)]
    verdicts = tuple(verdict(bond.judged, name, reasoning) for name in told)
    words = {verdict.outcome: verdict.words for verdict in verdicts}
    findings = [
        verdict.words
        for verdict in verdicts
        if verdict.outcome != roles.counts
        and is_found(verdict.outcome, roles)
        and verdict.act_on != pack.outcomes[verdict.outcome].levels[0]
    ]
    name, told_words = bond.noted.name, joined("; ", (words[name] for name in (roles.counts, *_concluded(roles)) if name in words))
    found = {"found": joined("; ", findings)} if findings else {}
    return BondAnswer(
        bond=name,
        pointer=bond.noted.pointer,
        counts=next(verdict.act_on for verdict in verdicts if verdict.outcome == roles.counts),
        line=pack.say("bond_line_found" if found else "bond_line", bond=name, told=told_words, **found),
        verdicts=verdicts,
        expected_continuity_ohm=bond.expected_ohm,
    )

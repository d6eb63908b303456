"""Existing bonds as they are answered: what is wrong with those of a part, and each with its verdicts."""

from collections.abc import Mapping, Sequence
from functools import partial

from bondwright.compose.answer import BondAnswer, Verdict
from bondwright.compose.verdicts import outcomes_of, verdicts
from bondwright.conclude.conclusion import Conclusion
from bondwright.conclude.reasoning import Reasoning
from bondwright.conclude.reasons import is_finding, to_act_on
from bondwright.facts.bonds import BOND, JudgedBond
from bondwright.rulebook.held import Roles
from bondwright.rulebook.pack import RulePack
from bondwright.said import joined


def bond_findings(bonds: Sequence[JudgedBond], reasoning: Reasoning) -> str:
    """What is surely wrong with the bonds of a part, in the words of the pack."""
    conclusions = [bond.judged.conclusion for bond in bonds]
    found = [reasoning.kept(("wrong with a bond", one.alike), partial(_wrong, one, reasoning.pack)) for one in conclusions]
    return joined("; ", dict.fromkeys(words for of_bond in found for words in of_bond))


def _wrong(concluded: Conclusion, pack: RulePack) -> tuple[str, ...]:
    """What is surely wrong with a bond, and with all alike."""
    levels = [(pack.outcomes[name], level) for name, level in concluded.levels.items() if is_found(name, pack.roles)]
    told = [(outcome, level.firm, *to_act_on(outcome, level)) for outcome, level in levels]
    return tuple(words for outcome, firm, act_on, words in told if is_finding(outcome, act_on, firm))


def is_found(outcome: str, roles: Roles) -> bool:
    """Whether an outcome of a bond is about something found on it, not concluded from what was found."""
    return outcome not in _concluded(roles)


def _concluded(roles: Roles) -> tuple[str, ...]:
    return roles.complies, roles.bond_reported, roles.taken_off


def bond_answer(bond: JudgedBond, inspected: bool, reasoning: Reasoning) -> BondAnswer:
    """A judged bond as it is answered; `inspected`: whether the work is one that reports."""
    pack, roles = reasoning.pack, reasoning.pack.roles
    told = outcomes_of(BOND, reasoning, "" if inspected else roles.bond_reported)
    found = verdicts(bond.judged, told, reasoning)
    key = ("bond in words", inspected, bond.judged.conclusion.alike)
    counts, words = reasoning.kept(key, lambda: _in_words(found, pack))
    return BondAnswer(
        bond=bond.noted.name,
        pointer=bond.noted.pointer,
        counts=counts,
        line=pack.say("bond_line_found" if "found" in words else "bond_line", bond=bond.noted.name, **words),
        verdicts=found,
        expected_continuity_ohm=bond.expected_ohm,
    )


def _in_words(found: Sequence[Verdict], pack: RulePack) -> tuple[str, Mapping[str, str]]:
    """Whether a bond counts, and what is told of it and found on it, in words: the same for all bonds alike."""
    roles, words = pack.roles, {verdict.outcome: verdict.words for verdict in found}
    findings = [
        verdict.words
        for verdict in found
        if verdict.outcome != roles.counts
        and is_found(verdict.outcome, roles)
        and verdict.act_on != pack.outcomes[verdict.outcome].levels[0]
    ]
    told = joined("; ", (words[name] for name in (roles.counts, *_concluded(roles)) if name in words))
    counts = next(verdict.act_on for verdict in found if verdict.outcome == roles.counts)
    return counts, {"told": told, **({"found": joined("; ", findings)} if findings else {})}

"""What an inspection reports of each part and of its bonds, as it is answered."""

from bondwright.compose.answer import BondAnswer, Observation, PartAnswer, Verdict
from bondwright.compose.observations import observation
from bondwright.compose.parts.bonds import is_found
from bondwright.compose.verdicts import outcomes_of, verdicts
from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.findings import FINDING, tells_once
from bondwright.facts.row import Judged
from bondwright.members import replace
from bondwright.rulebook.pack import RulePack


def findings_of(finding: Judged | None, reasoning: Reasoning) -> tuple[Verdict, ...]:
    """The findings of a part; none where the pack has none."""
    return verdicts(finding, outcomes_of(FINDING, reasoning), reasoning) if finding else ()


def reported(answer: PartAnswer, findings: tuple[Verdict, ...], pack: RulePack) -> PartAnswer:
    """The answer of a part with what an inspection reports of it and of the bonds that are on it.

    What is wrong with a bond is told of the part, where nothing else is; the most severe, if several bonds have something.
    """
    own = observation(findings, (), pack)
    of_bonds = [_of_bond(bond, pack) for bond in answer.bonds]
    if own is None and tells_once(pack) and pack.roles.bond_reported:
        codes = pack.outcomes[pack.roles.bond_reported].codes
        own = max((found for found in of_bonds if found), key=lambda found: codes.index(found.code), default=None)
    beside = [(bond, None if found is own else found) for bond, found in zip(answer.bonds, of_bonds, strict=True)]
    bonds = tuple([replace(bond, observation=found) if found else bond for bond, found in beside])
    return replace(answer, findings=findings, observation=own, bonds=bonds)


def _of_bond(bond: BondAnswer, pack: RulePack) -> Observation | None:
    reporting = [verdict for verdict in bond.verdicts if verdict.outcome == pack.roles.bond_reported]
    return observation(reporting, [verdict for verdict in bond.verdicts if is_found(verdict.outcome, pack.roles)], pack)

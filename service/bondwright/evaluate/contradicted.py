"""Readings that cannot both be right: a bond measured good, and its metal read high with that bond on."""

from collections.abc import Mapping, Sequence

from bondwright.errors import Contradiction, Fault
from bondwright.evaluate.bonds import CONNECTION, JudgedBond
from bondwright.evaluate.measuring import FOUND, Measured
from bondwright.evaluate.parts import Part
from bondwright.rulebook.pack import RulePack

_AGAINST = "speaks_against_its_bond"


def refuse_contradicted(
    parts: Sequence[Part], bonds: Mapping[str, tuple[JudgedBond, ...]], tests: Mapping[str, Measured], pack: RulePack
) -> None:
    """Pass, unless a reading surely speaks against a bond that surely connects. Packs without that level know no such reading.

    Raises: Contradiction, with the place of each such reading.
    """
    if FOUND not in pack.outcomes or _AGAINST not in pack.outcomes[FOUND].levels:
        return
    way_out = "the bond was measured good, and its metal reads high with it on; measure both again, and leave the wrong reading out"
    faults = tuple(
        Fault(f"{reading.pointer}/reading", way_out)
        for part in parts
        if any(bond.subject.levels[CONNECTION].worst_case == 0 for bond in bonds[part.subject.name])
        for reading in tests[part.subject.name].readings
        if reading.verdict.firm and reading.verdict.worst_case == _AGAINST
    )
    if faults:
        raise Contradiction(faults)

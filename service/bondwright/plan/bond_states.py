"""What the bonds that are there come to, part by part."""

from collections.abc import Mapping, Sequence

from bondwright.facts.bonds import JudgedBond
from bondwright.facts.parts.part import Part
from bondwright.rulebook.pack import RulePack

_FAILED_FROM = "cannot_rely"
_DEPARTS = "improve"
_NO_BOND = "none"
NO_BOND = frozenset({_NO_BOND, "not_told"})
"""States of a part without a bond, as far as anybody said."""
SERVING = frozenset({"counts", "departs", "mend"})
"""States of a part with a bond that connects."""


def bond_states(parts: Sequence[Part], bonds: Mapping[str, tuple[JudgedBond, ...]], pack: RulePack) -> Mapping[str, str]:
    """What the bonds of each part come to, by the part's name; on a part that is not judged none counts."""
    return {part.name: _bond_state(part, bonds[part.name], pack) if part.in_scope else _NO_BOND for part in parts}


def _bond_state(part: Part, bonds: Sequence[JudgedBond], pack: RulePack) -> str:
    """What the bonds of a part come to.

    `counts`: one surely connects. `departs`: the same, but it surely departs from the edition. `mend`: it must surely be put right.
    `failed`: none can be relied on, surely. `cannot_rely`: none is shown to connect. `none`: there is none. `not_told`: nobody said.
    Packs that know no `departs` or `not_told` take these for `counts` and `none`.
    """
    if not bonds:
        return "none" if part.bonds_known or not _knows("not_told", pack) else "not_told"
    complies, counts = pack.roles.complies, pack.roles.counts
    counting = [bond.judged.levels[complies] for bond in bonds if bond.judged.levels[counts].worst_case == 0]
    if counting:
        top = len(pack.outcomes[complies].levels) - 1
        if all(level.lowest == top for level in counting):
            return "mend"
        departs = pack.outcomes[complies].levels.index(_DEPARTS)
        surely = all(level.lowest >= departs for level in counting) and any(level.worst_case == departs for level in counting)
        return "departs" if surely and _knows("departs", pack) else "counts"
    failed = pack.outcomes[counts].levels.index(_FAILED_FROM)
    return "failed" if all(bond.judged.levels[counts].lowest >= failed for bond in bonds) else "cannot_rely"


def _knows(state: str, pack: RulePack) -> bool:
    return any(state in row.bond for row in pack.joined)

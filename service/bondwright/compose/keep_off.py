"""What calls for keeping off: the state of a joint that can mean that metal is live, as its pack says."""

from collections.abc import Iterable, Mapping, Sequence

from bondwright.compose.listed import KeepOff
from bondwright.facts.bonds import JudgedBond
from bondwright.installation.proof import Bond
from bondwright.metalwork.lengths import Noted
from bondwright.rulebook.pack import RulePack

_JOINTS, _KEEP_OFF = "bond_joints", "keep_off"


def keep_off(bonds: Mapping[str, Sequence[JudgedBond]], pack: RulePack) -> tuple[KeepOff, ...]:
    """Each reason once, with the bonds that it was told of, in their order; nothing where nothing told calls for it."""
    found: dict[str, list[str]] = {}
    for noted in _noted(bonds.values()):
        if why := pack.told(_JOINTS, noted.described.joint, _KEEP_OFF):
            found.setdefault(why, []).append(noted.pointer)
    return tuple(KeepOff(why, tuple(dict.fromkeys(pointers))) for why, pointers in found.items())


def _noted(bonds: Iterable[Sequence[JudgedBond]]) -> Iterable[Noted[Bond]]:
    return (bond.noted for some in bonds for bond in some)

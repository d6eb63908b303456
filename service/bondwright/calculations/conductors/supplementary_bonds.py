"""Size of a supplementary bonding conductor, by the rules that decide it for rooms."""

from typing import Literal

from pydantic import Field

from bondwright.calculations.answer import Quantity
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import Calculation, Worked, needed, quantity, step
from bondwright.calculations.conductors.metals import COPPER_ALONE, require_sizing
from bondwright.calculations.inputs import Inputs, SizeMm2
from bondwright.errors import Contradiction, Fault
from bondwright.installation.words import LeftOut
from bondwright.rulebook.declared.places import ROOM
from bondwright.rulebook.facts import Between, FactValue

_CPC = {"exposed_to_exposed": "lesser_cpc_mm2", "exposed_to_extraneous": "cpc_mm2"}
_VALIDITY = (
    "holds_size_is_of_copper",
    COPPER_ALONE,
    "holds_pairing_of_extraneous",
    "holds_separate_conductor",
)


class SupplementaryBondSizeInputs(Inputs):
    """What the conductor joins, the circuit protective conductors there, and whether it is protected."""

    pairing: Literal["exposed_to_exposed", "exposed_to_extraneous", "extraneous_to_extraneous"] = Field(
        description="What it joins: exposed-conductive-parts of equipment, extraneous-conductive-parts, or one with the other."
    )
    protected: Literal["yes", "no"] = Field(description="Is it sheathed or mechanically protected?")
    lesser_cpc_mm2: LeftOut[SizeMm2] = Field(
        None, description="Cross-section of the smaller of the two circuit protective conductors, in copper; for two exposed parts."
    )
    cpc_mm2: LeftOut[SizeMm2] = Field(
        None,
        description="Cross-section of the exposed part's circuit protective conductor, in copper; for an exposed and an extraneous part.",
    )


def _size(asked: SupplementaryBondSizeInputs, bench: Bench) -> Worked:
    link = bench.pack.link(*asked.pairing.split("_to_"))
    require_sizing(bench, link.size)
    _require_no_other(asked)
    given: dict[str, FactValue] = {link.protected: asked.protected}
    used: tuple[Quantity, ...] = ()
    if asked.pairing in _CPC:
        cpc = needed(asked, _CPC[asked.pairing])
        given[link.by] = Between(cpc, cpc)
        used = (quantity(link.by, cpc, "mm2"),)
    sized = bench.sized(ROOM, link.size, given)
    found = quantity("supplementary_bond_size", sized.value, "mm2")
    if asked.lesser_cpc_mm2 is not None and found.value < asked.lesser_cpc_mm2:
        way_out = f"must be at most {found.value:g} mm², the largest made size that the rules of this pack know"
        raise Contradiction((Fault("/lesser_cpc_mm2", way_out),))
    says = bench.say(f"link_{asked.pairing}_{'protected' if asked.protected == 'yes' else 'unprotected'}")
    formula = f"supplementary_bond_size = rules({used[0].name if used else ''})"
    return Worked((found,), (step(says, formula, used, found, sized.rows, sized.rules),))


def _require_no_other(asked: SupplementaryBondSizeInputs) -> None:
    """Pass if no protective conductor is given that says nothing of this pairing. Raises: Contradiction."""
    other = [place for pairing, place in _CPC.items() if pairing != asked.pairing and getattr(asked, place) is not None]
    if other:
        raise Contradiction(tuple(Fault(f"/{place}", f"leave it out for {asked.pairing}, which does not go by it") for place in other))


SUPPLEMENTARY_BOND_SIZE = Calculation("supplementary-bond-size", SupplementaryBondSizeInputs, _VALIDITY, _size)

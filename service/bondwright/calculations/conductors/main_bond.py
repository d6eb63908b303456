"""Size of the main bonding conductor, by the rules that decide it in evaluations."""

from typing import Literal

from pydantic import Field

from bondwright.calculations.answer import Quantity, Step
from bondwright.calculations.bench import Bench, Sized
from bondwright.calculations.calculation import Calculation, Worked, needed, quantity, step
from bondwright.calculations.conductors.metals import COPPER_ALONE, as_fact, equivalent, require_sizing
from bondwright.calculations.inputs import Inputs, SizedMetal, SizeMm2
from bondwright.facts.supply import INSTALLATION
from bondwright.installation.words import LeftOut
from bondwright.rulebook.facts import Between, FactValue

_SIZE, _EARTHING = "main_bond_size", "required_earthing_conductor"
"""Names of what comes out, whatever the pack calls it."""
_NEUTRAL = "neutral_copper_equivalent"
_VALIDITY = (
    "holds_distributor_and_supplies",
    "holds_size_is_of_copper",
    COPPER_ALONE,
)


class MainBondSizeInputs(Inputs):
    """The supply neutral where PME conditions apply, else the earthing conductor that is required."""

    pme_conditions: Literal["apply", "do_not_apply"] = Field(description="Does the distributor say that PME conditions apply?")
    neutral_mm2: LeftOut[SizeMm2] = Field(
        None, description="Cross-section of the supply neutral or PEN; needed where PME conditions apply."
    )
    neutral_metal: SizedMetal = Field("copper", description="Its metal.")
    required_earthing_conductor_mm2: LeftOut[SizeMm2] = Field(
        None, description="Cross-section of copper that the earthing conductor must have; needed where they do not apply."
    )


def _size(asked: MainBondSizeInputs, bench: Bench) -> Worked:
    roles = bench.pack.roles
    require_sizing(bench, roles.main_bond, roles.earthing_by_line)
    if asked.pme_conditions == "apply":
        neutral = needed(asked, "neutral_mm2")
        copper, first = equivalent(neutral, asked.neutral_metal, "neutral", bench)
        found = _by_rules(bench, {"pme_conditions": "apply", _NEUTRAL: as_fact(bench, _NEUTRAL, copper, "/neutral_mm2")}, copper)
        working = _looked_up(bench.say("step_bond_by_neutral"), "copper_equivalent", first.gives, found)
        return Worked((working.gives, first.gives), (first, working))
    required = needed(asked, "required_earthing_conductor_mm2")
    found = _by_rules(bench, {"pme_conditions": "do_not_apply"}, required)
    given = quantity(_EARTHING, required, "mm2")
    working = _looked_up(bench.say("step_bond_by_earthing"), _EARTHING, given, found)
    return Worked((working.gives,), (working,))


def _by_rules(bench: Bench, given: dict[str, FactValue], earthing_mm2: float) -> Sized:
    """The size by the rules of the pack, which read an earthing conductor even where it decides nothing."""
    roles, earthing = bench.pack.roles, Between(earthing_mm2, earthing_mm2)
    facts = {"earth_comes_by": "supply", "tt_without_shared_metal": "no", roles.earthing_by_line: earthing, **given}
    return bench.sized(INSTALLATION, roles.main_bond, facts)


def _looked_up(says: str, by: str, given: Quantity, found: Sized) -> Step:
    return step(says, f"{_SIZE} = rules({by})", (given,), quantity(_SIZE, found.value, "mm2"), found.rows, found.rules)


MAIN_BOND_SIZE = Calculation("main-bond-size", MainBondSizeInputs, _VALIDITY, _size)

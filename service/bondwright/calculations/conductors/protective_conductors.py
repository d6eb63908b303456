"""Least size of the earthing conductor by the rules."""

from typing import Literal

from pydantic import Field

from bondwright.calculations.answer import Quantity, Step
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import Calculation, Worked, missing, needed, quantity, step
from bondwright.calculations.conductors.metals import COPPER_ALONE, YesOrNo, as_fact, equivalent, require_sizing
from bondwright.calculations.inputs import Inputs, SizedMetal, SizeMm2
from bondwright.errors import Contradiction, Fault
from bondwright.facts.supply import INSTALLATION
from bondwright.installation.words import LeftOut
from bondwright.rulebook.facts import Between, FactValue

_REQUIRED, _EARTHING, _BOND = "required_earthing_conductor", "earthing_conductor_size", "main_bond_size"
"""Names of what comes out, whatever the pack calls it."""
_SEPARATE, _PROTECTED = "earthing_runs_separately", "earthing_separate_length_protected"
_PME_TABLE = "pme-main-bond"
_VALIDITY_OF_EARTHING = (
    "holds_earthing_by_line",
    COPPER_ALONE,
    "holds_distributor",
    "holds_bond_left_out",
)


class EarthingConductorSizeInputs(Inputs):
    """The line conductor of the supply, how the earthing conductor lies, and the main bond where PME conditions apply."""

    line_mm2: SizeMm2 = Field(description="Cross-section of the line conductor of the supply.", examples=[25])
    line_metal: SizedMetal = Field("copper", description="Its metal.")
    buried: YesOrNo = Field(description="Does any of the earthing conductor lie in the ground?")
    protected_against_corrosion: LeftOut[YesOrNo] = Field(
        None, description="Is the buried length sheathed against corrosion? Needed where it is buried."
    )
    protected_mechanically: LeftOut[YesOrNo] = Field(
        None, description="Is the buried length protected against damage? Needed where it is buried and sheathed."
    )
    runs_separately: YesOrNo = Field(
        "yes",
        description="Does any of it run on its own: in no cable, not formed by conduit, ducting or trunking, and in none of these? "
        "Left out, it is taken to.",
    )
    separate_length_protected: YesOrNo = Field(
        "no", description="Is all of it that runs on its own protected against mechanical damage? Left out, it is taken not to be."
    )
    pme_conditions: LeftOut[Literal["apply", "do_not_apply"]] = Field(
        None, description="Does the distributor say that PME conditions apply?"
    )
    main_bond_mm2: LeftOut[SizeMm2] = Field(
        None, description="Cross-section of copper that the main bond must have; needed where PME conditions apply."
    )


def _earthing(asked: EarthingConductorSizeInputs, bench: Bench) -> Worked:
    roles = bench.pack.roles
    require_sizing(bench, roles.earthing_by_line, roles.earthing)
    line, first = equivalent(asked.line_mm2, asked.line_metal, "line", bench)
    facts: dict[str, FactValue] = {"earthing_buried": asked.buried, **_protection(asked), _SEPARATE: asked.runs_separately}
    if asked.runs_separately == "yes":
        facts[_PROTECTED] = asked.separate_length_protected
    facts["line_copper_equivalent"] = as_fact(bench, "line_copper_equivalent", line, "/line_mm2")
    required = bench.sized(INSTALLATION, roles.earthing_by_line, facts)
    gives = quantity(_REQUIRED, required.value, "mm2")
    says = bench.say("step_earthing_by_line", lies=_lies(asked, bench))
    working = (first, step(says, f"{_REQUIRED} = rules(copper_equivalent)", (first.gives,), gives, required.rows, required.rules))
    if asked.pme_conditions is None and asked.main_bond_mm2 is None:
        return Worked((gives,), working)
    result, last = _not_below_bond(asked, gives, bench)
    return Worked((result, gives), (*working, last))


def _lies(asked: EarthingConductorSizeInputs, bench: Bench) -> str:
    """How the conductor lies, and what the pack leaves out of it."""
    say = bench.say
    buried = say("lies_buried" if asked.buried == "yes" else "lies_not_buried")
    if _SEPARATE not in bench.pack.facts:
        return say("lies_no_least", buried=buried)
    if asked.runs_separately == "no":
        return say("lies_not_on_its_own", buried=buried)
    return say("lies_protected" if asked.separate_length_protected == "yes" else "lies_not_protected", buried=buried)


def _protection(asked: EarthingConductorSizeInputs) -> dict[str, FactValue]:
    """How a buried earthing conductor is protected, as facts; asked for as far as the rules go by it. Raises: Contradiction."""
    if asked.buried == "no":
        return {}
    corrosion, damage = asked.protected_against_corrosion, asked.protected_mechanically
    if corrosion is None:
        raise Contradiction((missing(asked, "protected_against_corrosion", "needed for a conductor that is buried"),))
    if damage is None and corrosion == "yes":
        raise Contradiction((missing(asked, "protected_mechanically", "needed for a conductor that is buried"),))
    facts: dict[str, FactValue] = {"earthing_protected_against_corrosion": corrosion}
    return facts if damage is None else {**facts, "earthing_protected_mechanically": damage}


def _not_below_bond(asked: EarthingConductorSizeInputs, required: Quantity, bench: Bench) -> tuple[Quantity, Step]:
    if asked.pme_conditions is None:
        raise Contradiction((missing(asked, "pme_conditions", "needed where the main bond is given, which counts only where they apply"),))
    apply = asked.pme_conditions == "apply"
    if apply:
        _require_bond_of_pme(asked, bench)
    # The rules read a main bond even where it decides nothing.
    bond = needed(asked, "main_bond_mm2") if apply else required.value
    roles = bench.pack.roles
    facts: dict[str, FactValue] = {
        "pme_conditions": asked.pme_conditions,
        "earth_comes_by": "supply",
        "tt_without_shared_metal": "no",
        roles.earthing_by_line: Between(required.value, required.value),
        roles.main_bond: Between(bond, bond),
    }
    found = bench.sized(INSTALLATION, roles.earthing, facts)
    gives = quantity(_EARTHING, found.value, "mm2")
    if not apply:
        return gives, step(
            bench.say("step_bond_adds_nothing"),
            f"{_EARTHING} = rules({_REQUIRED})",
            (required,),
            gives,
            found.rows,
            found.rules,
        )
    used = (required, quantity(_BOND, bond, "mm2"))
    formula = f"{_EARTHING} = rules({_REQUIRED}, {_BOND})"
    return gives, step(bench.say("step_not_below_bond"), formula, used, gives, found.rows, found.rules)


def _require_bond_of_pme(asked: EarthingConductorSizeInputs, bench: Bench) -> None:
    """Pass if the main bond is one that the table of PME conditions may give. Raises: Contradiction, with the least that it gives."""
    bond = needed(asked, "main_bond_mm2")
    least = min((row.use for row in bench.pack.tables[_PME_TABLE].rows), default=bond) if _PME_TABLE in bench.pack.tables else bond
    if bond < least:
        raise Contradiction((Fault("/main_bond_mm2", f"must be at least {least:g} mm², the least main bond where PME conditions apply"),))


EARTHING_CONDUCTOR_SIZE = Calculation("earthing-conductor-size", EarthingConductorSizeInputs, _VALIDITY_OF_EARTHING, _earthing)

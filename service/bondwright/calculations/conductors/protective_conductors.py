"""Least size of the earthing conductor by the rules, and of any protective conductor by the heat of a fault."""

from typing import Annotated, Literal, TypeAlias

from pydantic import ConfigDict, Field

from bondwright.calculations.answer import Quantity, Step
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import Calculation, Worked, missing, needed, quantity, step
from bondwright.calculations.conductors.metals import CABLE, REFERENCE_C, RESISTANCES, equivalent, require_row, require_sizing
from bondwright.calculations.inputs import CurrentA, Inputs, SizedMetal, SizeMm2
from bondwright.calculators.adiabatic import Metal, heating_constant, least_size
from bondwright.calculators.conductors import stocked_size
from bondwright.errors import Contradiction, Fault
from bondwright.evaluate.supply import INSTALLATION
from bondwright.installation.words import LeftOut
from bondwright.rulebook.facts import Between, FactValue

_K, _K_UNIT = "k-values", "A·s^0.5/mm2"
_REQUIRED, _EARTHING, _BOND = "required_earthing_conductor", "earthing_conductor_size", "main_bond_size"
_UP_TO: Literal["up_to_300"] = "up_to_300"
_ABOVE: Literal["above_300"] = "above_300"
_SOLD_AS_CABLE = frozenset({"live_conductor", "separate", "in_cable", "bare_in_sight", "bare_in_normal_use"})
_METALS_OF_CABLES = frozenset({"copper", "aluminium"})
_VALIDITY_OF_EARTHING = (
    "The size is of copper, chosen by the line conductor; by the heat of a fault a smaller one may do where the rules allow it.",
    "The distributor may ask for more.",
    "Without a word on PME conditions the main bond is left out; where they apply the earthing conductor is not smaller than that.",
)
_VALIDITY_OF_HEATING = (
    "The heat is taken to stay in the metal, so a fault that lasts longer than the formula holds is refused.",
    "In the first half-waves the current is not yet what it is said to be; there the energy that the device lets through decides.",
    "The size is by heat alone; least sizes for strength, the main bond where PME conditions apply, and loop impedance come besides.",
    "A bare conductor in sight has nothing near it that heat could harm; a risk of fire allows less than either figure for bare ones.",
)

YesOrNo: TypeAlias = Literal["yes", "no"]


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
    pme_conditions: LeftOut[Literal["apply", "do_not_apply"]] = Field(
        None, description="Does the distributor say that PME conditions apply?"
    )
    main_bond_mm2: LeftOut[SizeMm2] = Field(
        None, description="Cross-section of copper that the main bond must have; needed where PME conditions apply."
    )


class ProtectiveConductorHeatingInputs(Inputs):
    """A fault, how long it lasts, and what the conductor is made of and lies in."""

    fault_current_a: CurrentA = Field(description="Current that flows in the conductor during the fault.", examples=[200])
    time_s: Annotated[float, Field(ge=0.001, le=1000)] = Field(description="Time until the device cuts it off.", examples=[0.4])
    arrangement: Literal["live_conductor", "separate", "in_cable", "sheath_or_armour", "conduit", "bare_in_sight", "bare_in_normal_use"] = (
        Field(
            description="What the conductor is and how it lies: a line or neutral, a separate one, a core of a cable, "
            "a sheath or armour, conduit or trunking, bare in sight, or bare in normal use."
        )
    )
    metal: Literal["copper", "aluminium", "steel", "lead"] = Field("copper", description="Its metal.")
    insulation: Literal["thermoplastic_70", "thermoplastic_90", "thermosetting_90", "thermosetting_60", "bare"] = Field(
        description="The insulation that it touches, with its working temperature; bare where there is none."
    )
    size: Literal["up_to_300", "above_300"] = Field(_UP_TO, description="Whether its cross-section is up to or above 300 mm².")

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [{"fault_current_a": 200, "time_s": 0.4, "arrangement": "separate", "insulation": "thermoplastic_70"}]
        }
    )


def _earthing(asked: EarthingConductorSizeInputs, bench: Bench) -> Worked:
    require_sizing(bench, _REQUIRED, _EARTHING)
    line, first = equivalent(asked.line_mm2, asked.line_metal, "line", bench)
    facts: dict[str, FactValue] = {"earthing_buried": asked.buried, **_protection(asked)}
    held = bench.pack.facts["line_copper_equivalent"]
    size = min(max(line, held.lowest), held.highest)
    required = bench.sized(INSTALLATION, _REQUIRED, {**facts, "line_copper_equivalent": Between(size, size)})
    gives = quantity(_REQUIRED, required.value, "mm2")
    lies = "buried" if asked.buried == "yes" else "not buried"
    says = f"The conductor that goes with this line conductor by the rules, {lies}"
    working = (first, step(says, f"{_REQUIRED} = rules(copper_equivalent)", (first.gives,), gives, required.rows, required.rules))
    if asked.pme_conditions is None and asked.main_bond_mm2 is None:
        return Worked((gives,), working)
    result, last = _not_below_bond(asked, gives, bench)
    return Worked((result, gives), (*working, last))


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
    # The rules read a main bond even where it decides nothing.
    bond = needed(asked, "main_bond_mm2") if apply else required.value
    facts: dict[str, FactValue] = {
        "pme_conditions": asked.pme_conditions,
        "earth_comes_by": "supply",
        "tt_without_shared_metal": "no",
        _REQUIRED: Between(required.value, required.value),
        _BOND: Between(bond, bond),
    }
    found = bench.sized(INSTALLATION, _EARTHING, facts)
    gives = quantity(_EARTHING, found.value, "mm2")
    if not apply:
        return gives, step(
            "Where PME conditions do not apply the main bond adds nothing",
            f"{_EARTHING} = rules({_REQUIRED})",
            (required,),
            gives,
            found.rows,
            found.rules,
        )
    used = (required, quantity(_BOND, bond, "mm2"))
    formula = f"{_EARTHING} = rules({_REQUIRED}, {_BOND})"
    return gives, step("Where PME conditions apply, not below the main bond", formula, used, gives, found.rows, found.rules)


def _heating(asked: ProtectiveConductorHeatingInputs, bench: Bench) -> Worked:
    require_row(bench, _K, "/metal", asked.arrangement, asked.metal)
    require_row(bench, _K, "/insulation", asked.arrangement, asked.metal, asked.insulation)
    row = (asked.arrangement, asked.metal, asked.insulation, asked.size)
    k = bench.cell(_K, *row, place="/size")
    longest = bench.cell("adiabatic-longest-time")
    least = quantity("least_size", least_size(asked.fault_current_a, asked.time_s, k, longest), "mm2")
    printed = quantity("k", k, _K_UNIT)
    used = (quantity("I", asked.fault_current_a, "A"), quantity("t", asked.time_s, "s"), printed)
    first = step(
        "The smallest conductor that takes the heat of the fault", "least_size = sqrt(I^2 t) / k", used, least, (bench.row(_K, *row),)
    )
    reckoned, second = _from_constants(asked, bench)
    made, last = _made(asked, least, bench)
    return Worked((*made, least, printed, *reckoned), (*second, first, *last))


def _from_constants(asked: ProtectiveConductorHeatingInputs, bench: Bench) -> tuple[tuple[Quantity, ...], tuple[Step, ...]]:
    """The constant k by the formula behind the printed one; none above the size up to which the temperatures are told."""
    if asked.size == _ABOVE:
        return (), ()
    heat, beta, rho = (
        bench.cell("metal-constants", asked.metal, constant, place="/metal")
        for constant in ("heat_capacity_j_per_k_mm3", "beta_c", "resistivity_20_ohm_mm")
    )
    initial, final = (
        bench.cell(f"k-{end}-temperature", asked.arrangement, asked.metal, asked.insulation, place="/insulation")
        for end in ("initial", "final")
    )
    k = quantity("k_from_constants", heating_constant(Metal(heat, beta, rho, REFERENCE_C), initial, final), _K_UNIT)
    used = (
        quantity("Q", heat, "J/(K·mm3)"),
        quantity("beta", beta, "degC"),
        quantity("rho", rho, "ohm·mm"),
        quantity("initial", initial, "degC"),
        quantity("final", final, "degC"),
    )
    formula = f"k_from_constants = sqrt(Q (beta + {REFERENCE_C}) / rho ln((beta + final) / (beta + initial)))"
    return (k,), (step("The constant k by the formula behind the printed one, for comparison", formula, used, k),)


def _made(asked: ProtectiveConductorHeatingInputs, least: Quantity, bench: Bench) -> tuple[tuple[Quantity, ...], tuple[Step, ...]]:
    """The next size of cable that is made; none of a metal or shape that no cable has, nor above those that are listed.

    Raises: Contradiction, if the size that comes out is none of those that k was taken for.
    """
    as_cable = asked.arrangement in _SOLD_AS_CABLE and asked.metal in _METALS_OF_CABLES
    sizes = bench.column(RESISTANCES, asked.metal if as_cable else "copper", CABLE)
    largest = max(sizes)
    if asked.size == _UP_TO and least.value > largest:
        way_out = f"must be {_ABOVE}: {least.value:.4g} mm² comes out with the constant of sizes up to {largest:g} mm²"
        raise Contradiction((Fault("/size", way_out),))
    if asked.size == _ABOVE or not as_cable:
        return (), ()
    rows = bench.around(RESISTANCES, asked.metal, CABLE, at=least.value)
    made = quantity("stocked_size", stocked_size(least.value, sizes), "mm2")
    return (made,), (
        step("The next size that is made", "stocked_size = the least of the table's sizes from least_size up", (least,), made, rows),
    )


EARTHING_CONDUCTOR_SIZE = Calculation(
    "earthing-conductor-size", "Size of the earthing conductor", EarthingConductorSizeInputs, _VALIDITY_OF_EARTHING, _earthing
)
PROTECTIVE_CONDUCTOR_HEATING = Calculation(
    "protective-conductor-heating",
    "Least protective conductor by the heat of a fault",
    ProtectiveConductorHeatingInputs,
    _VALIDITY_OF_HEATING,
    _heating,
)

"""Least size of a protective conductor by the heat of a fault and by strength."""

from typing import Annotated, Literal

from pydantic import ConfigDict, Field

from bondwright.calculations.answer import Judgement, Quantity, Step
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import Calculation, Worked, quantity, step
from bondwright.calculations.conductors.metals import REFERENCE_C, YesOrNo, require_row
from bondwright.calculations.inputs import CurrentA, Inputs
from bondwright.calculators.adiabatic import Metal, heating_constant, least_size
from bondwright.calculators.conductors import stocked_size
from bondwright.errors import Contradiction, Fault
from bondwright.facts.conductors import BY_RESISTANCE, BY_SIZE, CABLE, RESISTANCES, compared_by, metal_of_sizes
from bondwright.installation.shapes import Chosen
from bondwright.rulebook.held import Sentences

_K, _K_UNIT = "k-values", "A·s^0.5/mm2"
_UP_TO: Literal["up_to_300"] = "up_to_300"
_ABOVE: Literal["above_300"] = "above_300"
_SOLD_AS_CABLE = frozenset({"live_conductor", "separate", "in_cable", "bare_in_sight", "bare_in_normal_use"})
_ALONE = frozenset({"separate", "bare_in_sight", "bare_in_normal_use"})
_COPPER_WHERE_SMALL = _ALONE | {"in_cable"}
_COPPER_UP_TO = "copper_alone_up_to"
_METALS, _LEAST_OF_METAL = "sized_metals", "least_separate"
_LEAST = {"yes": "separate_least_protected", "no": "separate_least_unprotected"}
_OF_CABLES = (BY_SIZE, BY_RESISTANCE)
_VALIDITY_OF_HEATING = (
    "holds_heat_stays",
    "holds_first_half_waves",
    "holds_besides_heat",
    "holds_bunched",
    "holds_bare_in_sight",
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
    metal: Annotated[str, Chosen(f"{_K}/metal")] = Field("copper", description="Its metal.")
    insulation: Literal["thermoplastic_70", "thermoplastic_90", "thermosetting_90", "thermosetting_60", "bare"] = Field(
        description="The insulation that it touches, with its working temperature; bare where there is none."
    )
    size: Literal["up_to_300", "above_300"] = Field(_UP_TO, description="Whether its cross-section is up to or above 300 mm².")

    inside_enclosure: YesOrNo = Field(
        "no",
        description="Does a separate or bare one run inside an enclosure of the wiring system, as conduit, ducting or trunking? "
        "Left out, it is taken not to.",
    )
    protected_mechanically: YesOrNo = Field(
        "no", description="Is a separate or bare one protected against mechanical damage? Left out, it is taken not to be."
    )

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [{"fault_current_a": 200, "time_s": 0.4, "arrangement": "separate", "insulation": "thermoplastic_70"}]
        }
    )


def _heating(asked: ProtectiveConductorHeatingInputs, bench: Bench) -> Worked:
    require_row(bench, _K, "/metal", asked.arrangement, asked.metal)
    require_row(bench, _K, "/insulation", asked.arrangement, asked.metal, asked.insulation)
    row = (asked.arrangement, asked.metal, asked.insulation, asked.size)
    k = bench.cell(_K, *row, place="/size")
    longest = bench.cell("adiabatic-longest-time")
    least = quantity("least_size", least_size(asked.fault_current_a, asked.time_s, k, longest), "mm2")
    printed = quantity("k", k, _K_UNIT)
    used = (quantity("I", asked.fault_current_a, "A"), quantity("t", asked.time_s, "s"), printed)
    first = step(bench.say("step_least_for_heat"), "least_size = sqrt(I^2 t) / k", used, least, (bench.row(_K, *row),))
    reckoned, second = _from_constants(asked, bench)
    strength, third = _for_strength(asked, bench)
    size, fourth = _largest(least, strength, bench.say)
    copper = _copper_up_to(asked, size, bench)
    made, last = _made(asked, size, copper, bench)
    results = (*made, *(() if size == least else (size,)), least, printed, *reckoned, *strength, *copper)
    return Worked(results, (*second, *third, first, *fourth, *last), _of_which_metal(asked, copper, made, bench.say))


def _for_strength(asked: ProtectiveConductorHeatingInputs, bench: Bench) -> tuple[tuple[Quantity, ...], tuple[Step, ...]]:
    """The least size in mm² of its metal that one on its own has for strength; none of others, nor by packs that tell none."""
    name = _LEAST[asked.protected_mechanically]
    if asked.arrangement not in _ALONE or asked.inside_enclosure == "yes" or not bench.pack.has_value(name):
        return (), ()
    says = f"step_strength_{'protected' if asked.protected_mechanically == 'yes' else 'unprotected'}"
    own = bench.pack.told(_METALS, asked.metal, _LEAST_OF_METAL)
    name = own if bench.pack.has_value(own) else name
    copper = quantity(name, bench.value(name), "mm2")
    divided_by = compared_by(bench.pack, asked.metal)
    if divided_by in ("", *_OF_CABLES):
        least = quantity("least_for_strength", copper.value, "mm2")
        return (least,), (step(bench.say(says), f"least_for_strength = {name}", (copper,), least),)
    ratio = quantity(divided_by, bench.value(divided_by), "of one")
    least = quantity("least_for_strength", copper.value * ratio.value, "mm2")
    in_metal = bench.say(f"{says}_in", metal=asked.metal)
    return (least,), (step(in_metal, f"least_for_strength = {name} {divided_by}", (copper, ratio), least),)


def _largest(least: Quantity, strength: tuple[Quantity, ...], say: Sentences) -> tuple[Quantity, tuple[Step, ...]]:
    """The size that heat and strength ask for, and the step that found it; that of heat where nothing is asked for strength."""
    if not strength:
        return least, ()
    size = quantity("size_for_heat_and_strength", max(least.value, strength[0].value), "mm2")
    formula = say("formula_larger", gives=size.name, one=least.name, other=strength[0].name)
    return size, (step(say("step_heat_and_strength"), formula, (least, *strength), size),)


def _copper_up_to(asked: ProtectiveConductorHeatingInputs, size: Quantity, bench: Bench) -> tuple[Quantity, ...]:
    """The size in mm² up to which it must be of copper, where it is of another metal and `size` is not above that."""
    if (
        compared_by(bench.pack, asked.metal) == BY_SIZE
        or asked.arrangement not in _COPPER_WHERE_SMALL
        or not bench.pack.has_value(_COPPER_UP_TO)
    ):
        return ()
    limit = quantity(_COPPER_UP_TO, bench.value(_COPPER_UP_TO), "mm2")
    return (limit,) if size.value <= limit.value else ()


def _of_which_metal(
    asked: ProtectiveConductorHeatingInputs, copper: tuple[Quantity, ...], made: tuple[Quantity, ...], say: Sentences
) -> tuple[Judgement, ...]:
    """That the metal is not the one for the size that comes out; nothing where it may be."""
    if not copper:
        return ()
    limit = f"{copper[0].value:g}"
    if made:
        words = say("judged_copper_or_size", copper=limit, made=f"{made[0].value:g}", metal=asked.metal)
    else:
        words = say("judged_copper_or_more", copper=limit, metal=asked.metal)
    return (Judgement("metal", "copper_up_to_this_size", words),)


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
    return (k,), (step(bench.say("step_k_from_constants"), formula, used, k),)


def _made(
    asked: ProtectiveConductorHeatingInputs, size: Quantity, copper: tuple[Quantity, ...], bench: Bench
) -> tuple[tuple[Quantity, ...], tuple[Step, ...]]:
    """The next size of cable that is made; none of a metal or shape that no cable has, nor above those that are listed.

    `copper`: the size up to which it must be of copper, if it is not and that matters.

    Raises: Contradiction, if the size that comes out is none of those that k was taken for.
    """
    as_cable = asked.arrangement in _SOLD_AS_CABLE and compared_by(bench.pack, asked.metal) in _OF_CABLES
    sizes = bench.column(RESISTANCES, asked.metal if as_cable else metal_of_sizes(bench.pack), CABLE)
    largest = max(sizes)
    if asked.size == _UP_TO and size.value > largest:
        way_out = f"must be {_ABOVE}: {size.value:.4g} mm² comes out with the constant of sizes up to {largest:g} mm²"
        raise Contradiction((Fault("/size", way_out),))
    if asked.size == _ABOVE or not as_cable:
        return (), ()
    allowed = [one for one in sizes if all(one > limit.value for limit in copper)]
    made = quantity("stocked_size", stocked_size(size.value, allowed), "mm2")
    rows = bench.around(RESISTANCES, asked.metal, CABLE, at=made.value if copper else size.value)
    if copper:
        formula = bench.say("formula_stocked_above", gives=made.name, size=size.name, copper=copper[0].name)
    else:
        formula = bench.say("formula_stocked", gives=made.name, size=size.name)
    return (made,), (step(bench.say("step_stocked"), formula, (size, *copper), made, rows),)


PROTECTIVE_CONDUCTOR_HEATING = Calculation(
    "protective-conductor-heating",
    ProtectiveConductorHeatingInputs,
    _VALIDITY_OF_HEATING,
    _heating,
)

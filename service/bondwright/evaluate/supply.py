"""The supplies as a subject: conductor sizes in copper equivalent, how the earth comes, and what the sizes come to."""

from collections.abc import Mapping, Sequence

from bondwright.calculators.conductors import area_of_imperial, copper_equivalent, tabulated_resistance
from bondwright.evaluate.answer import Question
from bondwright.evaluate.earthing.calculated import CALCULATED, about_calculation, calculated_size
from bondwright.evaluate.earthing.coming import about_coming, about_tt_alone, earth_comes_by, pme_applies, taken_as_buried, tt_alone
from bondwright.evaluate.reasoning.questions import field_question
from bondwright.evaluate.reasoning.stages import Acting, Subject, run_stages, subject
from bondwright.installation.description import Conductor, Feeder, FurtherSupply, Installation, Supply
from bondwright.installation.proof import Bond
from bondwright.installation.words import ConductorMetal, Size
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either, opposite
from bondwright.rulebook.facts import Between, FactValue
from bondwright.rulebook.pack import RulePack

INSTALLATION = "installation"
_RESISTANCES, _CLASS = "conductor-resistance", "class_2"
_LAID = ("buried", "protected_against_corrosion", "protected_mechanically", "runs_separately", "separate_length_protected")
"""How an earthing conductor lies, each by its field; packs published before may know fewer."""


def judged_supply(
    supply: Supply, extraneous_here: Known, about_it: tuple[Question, ...], shares_metal: Known, pack: RulePack, acting: Acting
) -> Subject:
    """The supply with the sizes of its earthing and main bonding conductors concluded.

    `extraneous_here`: whether some part described calls for main bonding; `about_it`: the questions behind that, where it is open.
    `shares_metal`: whether metal is shared with another installation.

    Raises: Contradiction, if what is told of a calculation cannot hold together.
    """
    earthing, alone = supply.earthing_conductor, tt_alone(supply, shares_metal, pack)
    pme = _pme(supply, pack)
    facts: dict[str, FactValue] = {
        **pme,
        **_feeder(supply.feeder, pack),
        **calculated_size(earthing, pack),
        "tt_without_shared_metal": alone,
        "size_rule_in_doubt": _in_doubt(pme["pme_conditions"], alone),
        "extraneous_part_here": extraneous_here,
        "further_supply_described": "yes" if supply.further_supplies else "no",
        "phases": supply.phases,
        "earthing_buried": earthing.buried,
        "earthing_taken_as_buried": taken_as_buried(supply, pack),
        "earthing_protected_against_corrosion": earthing.protected_against_corrosion,
        "earthing_protected_mechanically": earthing.protected_mechanically,
        "earthing_runs_separately": earthing.runs_separately,
        "earthing_separate_length_protected": earthing.separate_length_protected,
    }
    if not isinstance(supply.cut_out_rating_a, str):
        facts["cut_out_rating"] = Between(supply.cut_out_rating_a, supply.cut_out_rating_a)
    facts["line_copper_equivalent"] = _between(pack, supply.line_conductor, "line_copper_equivalent")
    questions = {**_questions(supply, shares_metal, pack), "extraneous_part_here": about_it}
    one = subject(pack, INSTALLATION, "supply", "/supply", facts, questions)
    return run_stages(pack, INSTALLATION, [one], acting)[0]


def _in_doubt(pme_conditions: FactValue, alone: Known) -> Known:
    """Whether it is open that the bond goes by the supply neutral, or by half the earthing conductor."""
    by_neutral: Known = "yes" if pme_conditions == "apply" else "no" if pme_conditions == "do_not_apply" else "unknown"
    return "yes" if both(by_neutral, opposite(alone)) == "unknown" else "no"


def _pme(supply: Supply, pack: RulePack) -> dict[str, FactValue]:
    """Whether PME conditions apply to some supply, to several, and the largest neutral of those to which they do."""
    supplies: Sequence[Supply | FurtherSupply] = (supply, *supply.further_supplies)
    apply = [pme_applies(one) for one in supplies]
    some = either(*apply)
    pairs = [both(one, other) for index, one in enumerate(apply) for other in apply[:index]]
    neutrals = [_between(pack, one.neutral, "neutral_copper_equivalent") for one in supplies]
    possible = [size for here, size in zip(apply, neutrals, strict=True) if here != "no"] or neutrals[:1]
    sure = [size.lowest for here, size in zip(apply, neutrals, strict=True) if here == "yes"]
    return {
        "pme_conditions": "apply" if some == "yes" else "do_not_apply" if some == "no" else "unknown",
        "several_pme_supplies": either(*pairs),
        "neutral_copper_equivalent": Between(
            max(sure, default=min(size.lowest for size in possible)), max(size.highest for size in possible)
        ),
    }


def _feeder(feeder: Feeder | None, pack: RulePack) -> dict[str, FactValue]:
    """How the earth comes, what is shown of it, and the copper equivalent of the feeding circuit's protective conductors together."""
    facts: dict[str, FactValue] = {"earth_comes_by": earth_comes_by(feeder, pack)}
    if feeder is None:
        return {**facts, "fed_from": "distributor"}
    facts |= {
        "fed_from": feeder.comes_from,
        "electrode_shown_by_test": feeder.shown_by_test,
        "feeder_carries_fault_current": feeder.carries_fault_current,
    }
    if not isinstance(feeder.protective_conductors, str):
        sizes = [_between(pack, one, "line_copper_equivalent") for one in feeder.protective_conductors]
        facts["feeder_protective_equivalent"] = Between(sum(size.lowest for size in sizes), sum(size.highest for size in sizes))
    return facts


def flat_supply(installation: Installation) -> str:
    """Whether the premises are a flat, and whether the distributor or the landlord supplies it."""
    if installation.premises == "unknown":
        return "unknown"
    if installation.premises != "flat":
        return "not_a_flat"
    feeder = installation.supply.feeder
    return "own_service" if feeder is None else "unknown" if feeder.comes_from != "landlords_installation" else "landlords_installation"


def _between(pack: RulePack, conductor: Conductor, fact: str) -> Between:
    found = size_between(pack, conductor.size, conductor.material, fact)
    assert isinstance(found, Between)
    return found


def size_between(pack: RulePack, size: Size, metal: ConductorMetal, fact: str) -> FactValue:
    """The copper equivalent in mm² of a size of a metal, as the number fact named; what is unknown leaves a range."""
    definition = pack.fact(fact)
    if size == "unknown":
        return definition.unknown()
    area = cross_section(size)
    metals: tuple[ConductorMetal, ...] = ("copper", "aluminium", "steel") if metal == "unknown" else (metal,)
    equivalents = [_equivalent(pack, area, one) for one in metals]
    return Between(max(min(equivalents), definition.lowest), min(max(equivalents), definition.highest))


def ohm_per_metre(pack: RulePack, size_mm2: float) -> float:
    """Resistance in ohm per metre of a copper conductor at 20 °C, from the pack's table."""
    return pack.remembered(("ohm per metre", size_mm2), lambda: tabulated_resistance(size_mm2, _table(pack, "copper")) / 1000)


def cross_section(size: float | str) -> float:
    """The area in mm² of a conductor of that size, in mm² or as an old imperial one."""
    return area_of_imperial(size) if isinstance(size, str) else size


def _equivalent(pack: RulePack, area: float, metal: ConductorMetal) -> float:
    if metal == "copper":
        return area
    if metal == "steel":
        return area / pack.number("steel_to_copper")
    return pack.remembered(("equivalent", area, metal), lambda: copper_equivalent(area, _table(pack, metal), _table(pack, "copper")))


def _table(pack: RulePack, metal: str) -> Mapping[float, float]:
    """Ohm per kilometre by size; packs published before there were reference tables keep it among their properties."""
    if pack.has_table(_RESISTANCES):
        return {size: cell.value for size, cell in pack.table(_RESISTANCES).column(metal, _CLASS).items()}
    row = pack.row("conductor_metals", metal)
    return {float(size): float(resistance) for size, resistance in row.items() if size != "source"}


def _questions(supply: Supply, shares_metal: Known, pack: RulePack) -> Mapping[str, tuple[Question, ...]]:
    earthing = supply.earthing_conductor

    def asked(fact: str, pointer: str, said: object) -> tuple[Question, ...]:
        return field_question(fact, pointer, said, pack)

    pme = asked("pme_conditions", "/supply/pme_conditions", supply.pme_conditions)
    further: tuple[Question, ...] = ()
    neutrals: tuple[Question, ...] = ()
    if pme_applies(supply) != "no":
        neutrals = conductor_questions("neutral_copper_equivalent", "/supply/neutral", supply.neutral, pack)
    for index, one in enumerate(supply.further_supplies):
        here = f"/supply/further_supplies/{index}"
        further += asked("further_supplies", f"{here}/pme_conditions", one.pme_conditions)
        if pme_applies(one) != "no":
            neutrals += conductor_questions("further_supplies", f"{here}/neutral", one.neutral, pack)
    alone = about_tt_alone(supply, shares_metal, pack)
    found = {
        "pme_conditions": pme + further,
        "tt_without_shared_metal": alone + further,
        "size_rule_in_doubt": pme + further + alone,
        "neutral_copper_equivalent": neutrals,
        "line_copper_equivalent": conductor_questions("line_copper_equivalent", "/supply/line_conductor", supply.line_conductor, pack),
        "phases": asked("phases", "/supply/phases", supply.phases),
        "cut_out_rating": asked("cut_out_rating", "/supply/cut_out_rating_a", supply.cut_out_rating_a),
    }
    for key in _LAID:
        if f"earthing_{key}" in pack.facts:
            found[f"earthing_{key}"] = asked(f"earthing_{key}", f"/supply/earthing_conductor/{key}", getattr(earthing, key))
    if CALCULATED in pack.facts:
        found[CALCULATED] = about_calculation(earthing, pack)
    return found if supply.feeder is None else {**found, **_about_feeder(supply.feeder, pack)}


def _about_feeder(feeder: Feeder, pack: RulePack) -> Mapping[str, tuple[Question, ...]]:
    fact, at = "feeder_protective_equivalent", "/supply/feeder/protective_conductors"
    several = () if isinstance(feeder.protective_conductors, str) else feeder.protective_conductors
    each = tuple(one for index, some in enumerate(several) for one in conductor_questions(fact, f"{at}/{index}", some, pack))
    told = {
        "fed_from": ("comes_from", feeder.comes_from),
        "electrode_shown_by_test": ("shown_by_test", feeder.shown_by_test),
        "feeder_carries_fault_current": ("carries_fault_current", feeder.carries_fault_current),
    }
    found = {name: field_question(name, f"/supply/feeder/{field}", said, pack) for name, (field, said) in told.items()}
    return {
        **found,
        "earth_comes_by": about_coming(feeder, pack),
        fact: field_question(fact, at, feeder.protective_conductors, pack) + each,
    }


def conductor_questions(fact: str, pointer: str, conductor: Conductor | Bond, pack: RulePack) -> tuple[Question, ...]:
    """What is open of the size and metal of a conductor."""
    size = field_question(fact, f"{pointer}/size", conductor.size, pack)
    return size + field_question(fact, f"{pointer}/material", conductor.material, pack)

"""The row of the supplies: conductor sizes in copper equivalent, how the earth comes, and what is asked of them."""

from collections.abc import Mapping, Sequence

from bondwright.facts.asking import ask_field
from bondwright.facts.conductors import ask_conductor, size_between
from bondwright.facts.earth import about_coming, about_tt_alone, earth_comes_by, pme_applies, taken_as_buried, tt_alone
from bondwright.facts.earthing_conductor import CALCULATED, about_calculation, calculated_size
from bondwright.facts.row import Asked, Row, row_of
from bondwright.installation.description import Conductor, Feeder, FurtherSupply, Installation, Supply
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either, opposite
from bondwright.rulebook.facts import Between, FactValue
from bondwright.rulebook.pack import RulePack

INSTALLATION = "installation"
_LAID = ("buried", "protected_against_corrosion", "protected_mechanically", "runs_separately", "separate_length_protected")
"""How an earthing conductor lies, each by its field; packs published before may know fewer."""


def supply_row(supply: Supply, extraneous_here: Known, about_it: tuple[Asked, ...], shares_metal: Known, pack: RulePack) -> Row:
    """The row of the supply, from which the sizes of its earthing and main bonding conductors are concluded.

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
    return row_of(pack, INSTALLATION, "supply", "/supply", facts, questions)


def _in_doubt(pme_conditions: FactValue, alone: Known) -> Known:
    """Whether it is open that the bond goes by the supply neutral, or by half the earthing conductor."""
    by_neutral: Known = "yes" if pme_conditions == "apply" else "no" if pme_conditions == "do_not_apply" else "unknown"
    return "yes" if both(by_neutral, opposite(alone)) == "unknown" else "no"


def _pme(supply: Supply, pack: RulePack) -> dict[str, FactValue]:
    """Whether PME conditions apply to some supply, to several, and the largest neutral of those to which they do."""
    supplies: Sequence[Supply | FurtherSupply] = (supply, *supply.further_supplies)
    apply = [pme_applies(described) for described in supplies]
    any_applies = either(*apply)
    pairs = [both(applies, earlier) for index, applies in enumerate(apply) for earlier in apply[:index]]
    neutrals = [_between(pack, described.neutral, "neutral_copper_equivalent") for described in supplies]
    possible = [size for applies, size in zip(apply, neutrals, strict=True) if applies != "no"] or neutrals[:1]
    sure = [size.lowest for applies, size in zip(apply, neutrals, strict=True) if applies == "yes"]
    return {
        "pme_conditions": "apply" if any_applies == "yes" else "do_not_apply" if any_applies == "no" else "unknown",
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
        sizes = [_between(pack, conductor, "line_copper_equivalent") for conductor in feeder.protective_conductors]
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
    size = size_between(pack, conductor.size, conductor.material, fact)
    assert isinstance(size, Between)
    return size


def _questions(supply: Supply, shares_metal: Known, pack: RulePack) -> Mapping[str, tuple[Asked, ...]]:
    earthing = supply.earthing_conductor

    def asked(fact: str, pointer: str, said: object) -> tuple[Asked, ...]:
        return ask_field(fact, pointer, said, pack)

    pme = asked("pme_conditions", "/supply/pme_conditions", supply.pme_conditions)
    further: tuple[Asked, ...] = ()
    neutrals: tuple[Asked, ...] = ()
    if pme_applies(supply) != "no":
        neutrals = ask_conductor("neutral_copper_equivalent", "/supply/neutral", supply.neutral, pack)
    for index, further_supply in enumerate(supply.further_supplies):
        here = f"/supply/further_supplies/{index}"
        further += asked("further_supplies", f"{here}/pme_conditions", further_supply.pme_conditions)
        if pme_applies(further_supply) != "no":
            neutrals += ask_conductor("further_supplies", f"{here}/neutral", further_supply.neutral, pack)
    alone = about_tt_alone(supply, shares_metal, pack)
    found = {
        "pme_conditions": pme + further,
        "tt_without_shared_metal": alone + further,
        "size_rule_in_doubt": pme + further + alone,
        "neutral_copper_equivalent": neutrals,
        "line_copper_equivalent": ask_conductor("line_copper_equivalent", "/supply/line_conductor", supply.line_conductor, pack),
        "phases": asked("phases", "/supply/phases", supply.phases),
        "cut_out_rating": asked("cut_out_rating", "/supply/cut_out_rating_a", supply.cut_out_rating_a),
    }
    for key in _LAID:
        if f"earthing_{key}" in pack.facts:
            found[f"earthing_{key}"] = asked(f"earthing_{key}", f"/supply/earthing_conductor/{key}", getattr(earthing, key))
    if CALCULATED in pack.facts:
        found[CALCULATED] = about_calculation(earthing)
    return found if supply.feeder is None else {**found, **_about_feeder(supply.feeder, pack)}


def _about_feeder(feeder: Feeder, pack: RulePack) -> Mapping[str, tuple[Asked, ...]]:
    fact, at = "feeder_protective_equivalent", "/supply/feeder/protective_conductors"
    conductors = () if isinstance(feeder.protective_conductors, str) else feeder.protective_conductors
    each = tuple(
        question for index, conductor in enumerate(conductors) for question in ask_conductor(fact, f"{at}/{index}", conductor, pack)
    )
    told = {
        "fed_from": ("comes_from", feeder.comes_from),
        "electrode_shown_by_test": ("shown_by_test", feeder.shown_by_test),
        "feeder_carries_fault_current": ("carries_fault_current", feeder.carries_fault_current),
    }
    found = {name: ask_field(name, f"/supply/feeder/{field}", said, pack) for name, (field, said) in told.items()}
    return {
        **found,
        "earth_comes_by": about_coming(feeder, pack),
        fact: ask_field(fact, at, feeder.protective_conductors, pack) + each,
    }

"""Conductors of any metal as the copper that serves as well, and what is open of them."""

from collections.abc import Mapping

from bondwright.calculators.conductors import area_of_imperial, copper_equivalent, tabulated_resistance
from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.asking import ask_field
from bondwright.facts.row import Asked
from bondwright.installation.description import Conductor
from bondwright.installation.proof import Bond
from bondwright.installation.words import ConductorMetal, Size
from bondwright.rulebook.facts import Between, FactValue
from bondwright.rulebook.pack import RulePack

_RESISTANCES, _CLASS = "conductor-resistance", "class_2"


def size_between(pack: RulePack, size: Size, metal: ConductorMetal, fact: str) -> FactValue:
    """The copper equivalent in mm² of a size of a metal, as the number fact named; what is unknown leaves a range."""
    definition = pack.fact(fact)
    if size == "unknown":
        return definition.unknown()
    area = cross_section(size)
    metals: tuple[ConductorMetal, ...] = ("copper", "aluminium", "steel") if metal == "unknown" else (metal,)
    equivalents = [_equivalent(pack, area, possible) for possible in metals]
    return Between(max(min(equivalents), definition.lowest), min(max(equivalents), definition.highest))


def ohm_per_metre(reasoning: Reasoning, size_mm2: float) -> float:
    """Resistance in ohm per metre of a copper conductor at 20 °C, from the pack's table."""
    return reasoning.kept(("ohm per metre", size_mm2), lambda: tabulated_resistance(size_mm2, _table(reasoning.pack, "copper")) / 1000)


def cross_section(size: float | str) -> float:
    """The area in mm² of a conductor of that size, in mm² or as an old imperial one."""
    return area_of_imperial(size) if isinstance(size, str) else size


def _equivalent(pack: RulePack, area: float, metal: ConductorMetal) -> float:
    if metal == "copper":
        return area
    if metal == "steel":
        return area / pack.number("steel_to_copper")
    return copper_equivalent(area, _table(pack, metal), _table(pack, "copper"))


def _table(pack: RulePack, metal: str) -> Mapping[float, float]:
    """Ohm per kilometre by size; packs published before there were reference tables keep it among their properties."""
    if pack.has_table(_RESISTANCES):
        return {size: cell.value for size, cell in pack.table(_RESISTANCES).column(metal, _CLASS).items()}
    row = pack.row("conductor_metals", metal)
    return {float(size): float(resistance) for size, resistance in row.items() if size != "source"}


def ask_conductor(fact: str, pointer: str, conductor: Conductor | Bond, pack: RulePack) -> tuple[Asked, ...]:
    """What is open of the size and metal of a conductor."""
    size = ask_field(fact, f"{pointer}/size", conductor.size, pack)
    return size + ask_field(fact, f"{pointer}/material", conductor.material, pack)

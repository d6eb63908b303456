"""Conductors of any metal as the copper that serves as well, and what is open of them."""

from collections.abc import Callable, Mapping

from bondwright.calculators.conductors import area_of_imperial, copper_equivalent, tabulated_resistance
from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.asking import ask_field
from bondwright.facts.row import Asked
from bondwright.installation.description import Conductor
from bondwright.installation.proof import Bond
from bondwright.installation.words import Size
from bondwright.rulebook.facts import Between, FactValue
from bondwright.rulebook.memory import Remembered
from bondwright.rulebook.pack import RulePack

RESISTANCES, CABLE = "conductor-resistance", "class_2"
"""The table of resistances, and the class of conductor that sizes are compared by: stranded, as fixed cables have it."""
SIZED_METALS, COMPARED = "sized_metals", "compared"
"""The table of metals of conductors, and its column of how they are compared."""
BY_SIZE, BY_RESISTANCE = "size", "resistance"
"""How conductors of a metal compare with those of the metal that sizes are told in: as these, or by resistances; else by a value."""


def size_between(pack: RulePack, size: Size, metal: str, fact: str) -> FactValue:
    """The copper equivalent in mm² of a size of a metal, as the number fact named; what is unknown leaves a range."""
    definition = pack.fact(fact)
    if size == "unknown":
        return definition.unknown()
    area = cross_section(size)
    known = tuple(pack.rows(SIZED_METALS))
    metals = (metal,) if metal in known else known
    equivalents = [_equivalent(pack, area, possible) for possible in metals]
    return Between(max(min(equivalents), definition.lowest), min(max(equivalents), definition.highest))


def ohm_per_metre(reasoning: Reasoning, size_mm2: float) -> float:
    """Resistance in ohm per metre of a copper conductor at 20 °C, from the pack's table."""
    return kept_of_size(size_mm2, ("ohm per metre", size_mm2), lambda: ohm_of_metre(reasoning.pack, size_mm2), reasoning)


def kept_of_size(size: Size, key: tuple[object, ...], make: Callable[[], Remembered], reasoning: Reasoning) -> Remembered:
    """What is worked out of a size, kept: whole ones come again in other descriptions, of others there may be thousands in one."""
    is_usual = isinstance(size, str) or float(size).is_integer()
    return reasoning.kept(key, make) if is_usual else reasoning.kept_here(key, make)


def cross_section(size: float | str) -> float:
    """The area in mm² of a conductor of that size, in mm² or as an old imperial one."""
    return area_of_imperial(size) if isinstance(size, str) else size


def metal_of_sizes(pack: RulePack) -> str:
    """The metal in which sizes are told. Raises: Contradiction, if the pack says of none."""
    found = next((metal for metal in pack.rows(SIZED_METALS) if compared_by(pack, metal) == BY_SIZE), "")
    if not found:
        raise pack.fault("has no metal in which sizes of conductors are told")
    return found


def compared_by(pack: RulePack, metal: str) -> str:
    """How conductors of a metal are compared; else the value by which their area is divided, empty where the pack does not say."""
    return pack.told(SIZED_METALS, metal, COMPARED)


def ohm_of_metre(pack: RulePack, size_mm2: float) -> float:
    """The same, worked out."""
    return tabulated_resistance(size_mm2, _table(pack, metal_of_sizes(pack))) / 1000


def _equivalent(pack: RulePack, area: float, metal: str) -> float:
    match compared_by(pack, metal):
        case "size":
            return area
        case "resistance":
            return copper_equivalent(area, _table(pack, metal), _table(pack, metal_of_sizes(pack)))
        case ratio:
            return area / pack.number(ratio)


def _table(pack: RulePack, metal: str) -> Mapping[float, float]:
    """Ohm per kilometre by size; packs published before there were reference tables keep it among their properties."""
    if pack.has_table(RESISTANCES):
        return pack.table(RESISTANCES).numbers(metal, CABLE)
    row = pack.row("conductor_metals", metal)
    return {float(size): float(resistance) for size, resistance in row.items() if size != "source"}


def ask_conductor(fact: str, pointer: str, conductor: Conductor | Bond, pack: RulePack) -> tuple[Asked, ...]:
    """What is open of the size and metal of a conductor."""
    size = ask_field(fact, f"{pointer}/size", conductor.size, pack)
    return size + ask_field(fact, f"{pointer}/material", conductor.material, pack)

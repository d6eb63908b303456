"""The supply as a subject: conductor sizes in copper equivalent, and what the sizes come to."""

from collections.abc import Mapping

from bondwright.calculators.conductors import copper_equivalent, imperial_area, tabulated_resistance
from bondwright.evaluate.answer import Question
from bondwright.evaluate.reasoning.stages import Acting, Subject, run_stages, subject
from bondwright.installation.description import Conductor, Installation
from bondwright.installation.words import ConductorMetal, Size
from bondwright.rulebook.facts import Between, FactValue
from bondwright.rulebook.pack import RulePack

INSTALLATION = "installation"


def judged_supply(installation: Installation, pack: RulePack, acting: Acting) -> Subject:
    """The supply with the sizes of its earthing and main bonding conductors concluded."""
    supply, earthing = installation.supply, installation.supply.earthing_conductor
    known: dict[str, FactValue] = {
        "pme_conditions": supply.pme_conditions,
        "phases": supply.phases,
        "earthing_buried": earthing.buried,
        "earthing_protected_against_corrosion": earthing.protected_against_corrosion,
        "earthing_protected_mechanically": earthing.protected_mechanically,
    }
    if not isinstance(supply.cut_out_rating_a, str):
        known["cut_out_rating"] = Between(supply.cut_out_rating_a, supply.cut_out_rating_a)
    for fact, conductor in (("neutral_copper_equivalent", supply.neutral), ("line_copper_equivalent", supply.line_conductor)):
        known[fact] = conductor_between(pack, conductor, fact)
    one = subject(pack, INSTALLATION, "supply", "/supply", known, _questions(pack))
    return run_stages(pack, INSTALLATION, [one], acting)[0]


def conductor_between(pack: RulePack, conductor: Conductor, fact: str) -> FactValue:
    """The copper equivalent in mm² of a conductor, as a number fact; unknown metal leaves a range."""
    return size_between(pack, conductor.size, conductor.material, fact)


def size_between(pack: RulePack, size: Size, metal: ConductorMetal, fact: str) -> FactValue:
    """The copper equivalent in mm² of a size of a metal, as the number fact named; what is unknown leaves a range."""
    definition = pack.facts[fact]
    if size == "unknown":
        return definition.unknown()
    area = _area(size)
    metals: tuple[ConductorMetal, ...] = ("copper", "aluminium", "steel") if metal == "unknown" else (metal,)
    equivalents = [_equivalent(pack, area, one) for one in metals]
    return Between(max(min(equivalents), definition.lowest), min(max(equivalents), definition.highest))


def ohm_per_metre(pack: RulePack, size_mm2: float) -> float:
    """Resistance in ohm per metre of a copper conductor at 20 °C, from the pack's table."""
    return tabulated_resistance(size_mm2, _table(pack, "copper")) / 1000


def _area(size: float | str) -> float:
    if not isinstance(size, str):
        return size
    strands, diameter = size.split("/")
    return imperial_area(int(strands), float(f"0{diameter}"))


def _equivalent(pack: RulePack, area: float, metal: ConductorMetal) -> float:
    if metal == "copper":
        return area
    if metal == "steel":
        return area / pack.number("steel_to_copper")
    return copper_equivalent(area, _table(pack, metal), _table(pack, "copper"))


def _table(pack: RulePack, metal: str) -> Mapping[float, float]:
    row = pack.properties["conductor_metals"][metal]
    return {float(size): float(resistance) for size, resistance in row.items() if size != "source"}


def _questions(pack: RulePack) -> Mapping[str, tuple[Question, ...]]:
    places = {
        "pme_conditions": "/supply/pme_conditions",
        "phases": "/supply/phases",
        "cut_out_rating": "/supply/cut_out_rating_a",
        "neutral_copper_equivalent": "/supply/neutral",
        "line_copper_equivalent": "/supply/line_conductor",
        "earthing_buried": "/supply/earthing_conductor/buried",
        "earthing_protected_against_corrosion": "/supply/earthing_conductor/protected_against_corrosion",
        "earthing_protected_mechanically": "/supply/earthing_conductor/protected_mechanically",
    }
    return {fact: (Question(fact, pack.facts[fact].ask, pointer),) for fact, pointer in places.items()}

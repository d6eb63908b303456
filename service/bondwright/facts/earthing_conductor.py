"""The earthing conductor that a calculation from fault current and time asks for."""

from bondwright.calculators.adiabatic import least_size
from bondwright.calculators.ranges import OutOfRange
from bondwright.errors import Contradiction, Fault
from bondwright.facts.row import Asked
from bondwright.installation.description import EarthingConductor
from bondwright.rulebook.facts import Between, FactValue
from bondwright.rulebook.pack import RulePack

CALCULATED = "calculated_earthing_conductor"
_LONGEST = "adiabatic-longest-time"
_PLACE = "/supply/earthing_conductor"
_INPUTS = ("fault_current_a", "disconnection_time_s", "k")
WORKED_OUT = frozenset({CALCULATED, *_INPUTS})
"""Names of the questions that a calculation answers."""


def calculated_size(earthing: EarthingConductor, pack: RulePack) -> dict[str, FactValue]:
    """The size in mm² of copper as a fact, where it is told or its inputs are; empty where not, or where the pack does not ask.

    Raises: Contradiction, if a size is told that is below what the inputs told with it come to.
    """
    if CALCULATED not in pack.facts:
        return {}
    told = None if isinstance(earthing.calculated_mm2, str) else earthing.calculated_mm2
    worked_out = _worked_out(earthing, pack)
    if told is not None and worked_out is not None and told < worked_out:
        way_out = f"fault current, time and k come to {worked_out:.3g} mm²; correct the one or the other"
        raise Contradiction((Fault(f"{_PLACE}/calculated_mm2", way_out),))
    found = [size for size in (told, worked_out) if size is not None]
    if not found:
        return {}
    held = pack.fact(CALCULATED)
    size = min(max(min(found), held.lowest), held.highest)
    return {CALCULATED: Between(size, size)}


def about_calculation(earthing: EarthingConductor) -> tuple[Asked, ...]:
    """What is asked for: the inputs that are still missing where some are told, else the size itself."""
    missing = [name for name in _INPUTS if getattr(earthing, name) == "unknown"]
    if not 0 < len(missing) < len(_INPUTS):
        return (Asked(CALCULATED, f"{_PLACE}/calculated_mm2"),)
    return tuple(Asked(name, f"{_PLACE}/{name}") for name in missing)


def _worked_out(earthing: EarthingConductor, pack: RulePack) -> float | None:
    current, time, k = earthing.fault_current_a, earthing.disconnection_time_s, earthing.k
    if isinstance(current, str) or isinstance(time, str) or isinstance(k, str) or not pack.has_table(_LONGEST):
        return None
    try:
        return least_size(current, time, k, pack.table(_LONGEST).cell().value)
    except OutOfRange:
        return None

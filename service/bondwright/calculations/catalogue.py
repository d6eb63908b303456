"""All calculations by name, and how one is carried out."""

from collections.abc import Mapping

from bondwright.calculations.answer import CalculationAnswer
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import Calculation
from bondwright.calculations.conductors.heating import PROTECTIVE_CONDUCTOR_HEATING
from bondwright.calculations.conductors.main_bond import MAIN_BOND_SIZE
from bondwright.calculations.conductors.pipes import PIPE_CONDUCTANCE
from bondwright.calculations.conductors.protective_conductors import EARTHING_CONDUCTOR_SIZE
from bondwright.calculations.conductors.resistance_of_conductors import CONDUCTOR_RESISTANCE, CONTINUITY_READING, GREATEST_LENGTH
from bondwright.calculations.conductors.supplementary_bonds import SUPPLEMENTARY_BOND_SIZE
from bondwright.calculations.faults.disconnection import DISCONNECTION_TIME, ELECTRODE_LIMIT, LOOP_IMPEDANCE_LIMIT
from bondwright.calculations.faults.earth_fault import EARTH_FAULT
from bondwright.calculations.faults.open_pen import OPEN_PEN
from bondwright.calculations.faults.shared_riser import SHARED_RISER
from bondwright.calculations.inputs import Inputs
from bondwright.calculations.touch.body import BODY_CURRENT
from bondwright.calculations.touch.device import OPERATING_CURRENT
from bondwright.calculations.touch.effectiveness import RESISTANCE_LIMIT
from bondwright.calculations.touch.isolation import ISOLATION_LIMIT, ISOLATION_READING
from bondwright.calculations.touch.water import WATER_COLUMN, WATER_LENGTH
from bondwright.calculators.ranges import OutOfRange
from bondwright.conclude.concluding import Acting
from bondwright.errors import Contradiction, Fault
from bondwright.rulebook.pack import RulePack
from bondwright.units import unit_of_field

CALCULATIONS: Mapping[str, Calculation] = {
    one.name: one
    for one in (
        MAIN_BOND_SIZE,
        EARTHING_CONDUCTOR_SIZE,
        PROTECTIVE_CONDUCTOR_HEATING,
        SUPPLEMENTARY_BOND_SIZE,
        CONDUCTOR_RESISTANCE,
        GREATEST_LENGTH,
        CONTINUITY_READING,
        PIPE_CONDUCTANCE,
        ISOLATION_LIMIT,
        ISOLATION_READING,
        OPERATING_CURRENT,
        RESISTANCE_LIMIT,
        WATER_COLUMN,
        WATER_LENGTH,
        BODY_CURRENT,
        EARTH_FAULT,
        OPEN_PEN,
        SHARED_RISER,
        ELECTRODE_LIMIT,
        LOOP_IMPEDANCE_LIMIT,
        DISCONNECTION_TIME,
    )
}
"""Every calculation by its name, in the order in which they are listed."""


def calculate(calculation: Calculation, inputs: Inputs, pack: RulePack, acting: Acting) -> CalculationAnswer:
    """The answer of one calculation with the values and rules of `pack`.

    Raises: Contradiction, if the inputs mean nothing together or the pack knows no such thing; EngineDisagreement, from `acting`.
    """
    bench = Bench(pack, acting)
    try:
        worked = calculation.work(inputs, bench)
    except OutOfRange as error:
        place = f"/{error.name}" if error.name in type(inputs).model_fields else ""
        detail = f"must be {error.would_be_right}{_unit_of(error)}" if place else f"{error.name} must be {error.would_be_right}"
        raise Contradiction((Fault(place, detail),)) from None
    return CalculationAnswer(
        calculation=calculation.name,
        title=calculation.title(pack.say),
        results=worked.results,
        judgements=worked.judgements,
        working=worked.working,
        sources=bench.cited,
        weakest_source=bench.weakest,
        validity=calculation.holds(pack.say),
        pack_id=pack.pack_id,
        pack_digest=pack.digest,
        cautions=pack.cautions,
    )


def _unit_of(error: OutOfRange) -> str:
    """The unit of the input, for a message that has none."""
    unit = unit_of_field(error.name)
    return "" if unit is None or f" {unit}" in error.would_be_right else f", in {unit}"

"""What a broken PEN brings the main earthing terminal to, and all metalwork bonded to it."""

from collections.abc import Sequence
from typing import Annotated, Literal

from pydantic import Field

from bondwright.calculations.answer import Judgement, Quantity, Step
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import Calculation, Worked, quantity, step
from bondwright.calculations.faults.elements import LAWS, LineVoltageInputs, elements, line_voltage, phasor, solved
from bondwright.calculations.faults.loads import PenLoad, as_loads, load_faults
from bondwright.calculations.inputs import Ohm
from bondwright.calculators.networks.linear import Admittance, solve
from bondwright.calculators.networks.open_pen import Load, OpenPen, earth_resistance_at, open_pen_network, open_pen_voltages
from bondwright.errors import Contradiction
from bondwright.installation.words import LeftOut

_VALIDITY = (
    "The loads keep the resistance that they have at their rated voltage, whatever voltage they come to.",
    "The break lies so that only the described loads are beyond it; neighbours beyond it add their loads and their electrodes.",
    "True earth is ground far from every electrode; reactance is left out.",
    "With loads on one line, reactance beside a resistance that is told lowers the voltage of the terminal. But a load told in watt that "
    "has a power factor below one takes more current and brings the terminal higher than here, and so does reactance in the path to earth.",
    "With loads on several lines reactance may raise or lower it.",
    "The limit is one for charging vehicles out of doors; other installations have none, and below it is not the same as safe.",
)


class OpenPenInputs(LineVoltageInputs):
    """Loads whose PEN is broken, and the paths to earth that are left to them."""

    loads: Annotated[tuple[PenLoad, ...], Field(min_length=1, max_length=60)] = Field(description="The loads that are on, one or more.")
    earth_ohm: LeftOut[Ohm] = Field(
        None, description="From the main earthing terminal to true earth by all paths together, in ohm; left out: no path.", examples=[20]
    )
    source_electrode_ohm: Ohm = Field(description="The star point to true earth, in ohm; 0 where the two are taken as one.", examples=[0])
    voltage: Literal["nominal", "greatest"] = Field(
        "nominal", description="Work it out at the line voltage itself, or at the greatest that the supply may have."
    )


def _work(asked: OpenPenInputs, bench: Bench) -> Worked:
    if faults := tuple(load_faults(asked.loads, "/loads")):
        raise Contradiction(faults)
    u0_v = line_voltage(asked, bench)
    factor, steps = _factor(asked, u0_v, bench)
    loads, resistances = as_loads(asked.loads, u0_v, bench, factor=factor)
    steps += resistances
    solution, results = _solution(OpenPen(loads, asked.earth_ohm, asked.source_electrode_ohm))
    steps += solution
    limit_v = bench.cell("open-pen-voltage")
    above = results[0].value > limit_v
    said = f"{'above' if above else 'at or below'} the limit of {limit_v:g} V for charging vehicles out of doors"
    judgements = (Judgement("terminal_voltage", "above_limit" if above else "at_or_below_limit", said),)
    at_limit, judged = _at_limit(loads, asked.source_electrode_ohm, limit_v)
    return Worked((*results, *(one.gives for one in at_limit)), (*steps, *at_limit), (*judgements, judged))


def _factor(asked: OpenPenInputs, u0_v: float, bench: Bench) -> tuple[float, tuple[Step, ...]]:
    """The voltage of the lines over `u0_v`, with the step that uses it, if it is not 1."""
    if asked.voltage == "nominal":
        return 1.0, ()
    factor = bench.cell("greatest-voltage-factor")
    used = (quantity("U0", u0_v, "V"), quantity("Cmax", factor, "of one"))
    return factor, (step("The greatest voltage of the lines", "U = U0 * Cmax", used, quantity("U", u0_v * factor, "V")),)


def _solution(pen: OpenPen) -> tuple[tuple[Step, ...], tuple[Quantity, ...]]:
    """The steps from the network to each voltage and current, and these."""
    network, found = open_pen_network(pen), open_pen_voltages(pen)
    solution = solve(network)
    gives = solved("terminal_voltage", found.terminal_v, "V")
    steps = [step("Voltage of the terminal in the network behind the break, with true earth at zero", LAWS, elements(network), gives)]
    if pen.earth_ohm is not None:
        current = phasor("I", solution.current("earth path"), "A")
        gives = solved("earth_current", found.earth_current_a, "A")
        steps.append(step("Current to earth and back to the star point, from the same network", "|I|", current, gives))
    loads = [branch for branch in network.branches if isinstance(branch, Admittance)]
    for number, (load, load_v) in enumerate(zip(loads, found.load_v, strict=True), start=1):
        ends = (*phasor("V(line)", solution.node_v[load.a], "V"), *phasor("V(terminal)", solution.node_v[load.b], "V"))
        gives = solved(f"load_voltage/{number}", load_v, "V")
        steps.append(step(f"Voltage across load {number}, both ends from the network", "|V(line) - V(terminal)|", ends, gives))
    return tuple(steps), tuple(one.gives for one in steps)


def _at_limit(loads: Sequence[Load], source_electrode_ohm: float, limit_v: float) -> tuple[tuple[Step, ...], Judgement]:
    """The resistance to earth that brings the terminal to just the limit, if there is one, and whether there is."""
    floating_v = open_pen_voltages(OpenPen(tuple(loads), None, source_electrode_ohm)).terminal_v
    if floating_v <= limit_v:
        said = f"with no path to earth at all these loads bring the terminal to {floating_v:.1f} V, which is not above the limit"
        return (), Judgement("earth_resistance", "limit_never_passed", said)
    ohm = earth_resistance_at(limit_v, tuple(loads), source_electrode_ohm)
    gives = quantity("earth_resistance_at_limit", ohm, "ohm")
    dead_a = open_pen_voltages(OpenPen(tuple(loads), 0, source_electrode_ohm)).earth_current_a
    used = (quantity("limit", limit_v, "V"), quantity("Uo", floating_v, "V"), quantity("Is", dead_a, "A"))
    says = "The resistance R to earth at which the terminal comes to just the limit: Uo with no path to earth, Is with one of no resistance"
    said = f"with these loads the limit is reached at {gives.value:.4g} ohm to earth, and passed above it"
    return (step(says, "Uo R / (Uo / Is + R) = limit", used, gives),), Judgement("earth_resistance", "limit_passed_above_it", said)


OPEN_PEN = Calculation("open-pen", "Voltages behind a broken PEN", OpenPenInputs, _VALIDITY, _work)

"""What a broken PEN brings the main earthing terminal to, and all metalwork bonded to it."""

from collections.abc import Sequence
from typing import Annotated, Literal

from pydantic import Field

from bondwright.calculations.answer import Judgement, Quantity, Step
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import Calculation, Worked, quantity, step
from bondwright.calculations.faults.elements import LineVoltageInputs, elements, laws, line_voltage, phasor, solved
from bondwright.calculations.faults.loads import PenLoad, as_loads, load_faults
from bondwright.calculations.inputs import Ohm
from bondwright.calculators.networks.linear import Admittance, solve
from bondwright.calculators.networks.open_pen import Load, OpenPen, earth_resistance_at, open_pen_network, open_pen_voltages
from bondwright.errors import Contradiction
from bondwright.installation.words import LeftOut
from bondwright.rulebook.held import Sentences

_VALIDITY = (
    "holds_loads_keep_resistance",
    "holds_only_described_beyond",
    "holds_no_reactance",
    "holds_reactance_on_one_line",
    "holds_reactance_on_several",
    "holds_limit_for_vehicles",
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
    solution, results = _solution(OpenPen(loads, asked.earth_ohm, asked.source_electrode_ohm), bench.say)
    steps += solution
    limit_v = bench.cell("open-pen-voltage")
    above = results[0].value > limit_v
    said = bench.say("judged_above_vehicles" if above else "judged_not_above_vehicles", limit=f"{limit_v:g}")
    judgements = (Judgement("terminal_voltage", "above_limit" if above else "at_or_below_limit", said),)
    at_limit, judged = _at_limit(loads, asked.source_electrode_ohm, limit_v, bench.say)
    return Worked((*results, *(one.gives for one in at_limit)), (*steps, *at_limit), (*judgements, judged))


def _factor(asked: OpenPenInputs, u0_v: float, bench: Bench) -> tuple[float, tuple[Step, ...]]:
    """The voltage of the lines over `u0_v`, with the step that uses it, if it is not 1."""
    if asked.voltage == "nominal":
        return 1.0, ()
    factor = bench.cell("greatest-voltage-factor")
    used = (quantity("U0", u0_v, "V"), quantity("Cmax", factor, "of one"))
    return factor, (step(bench.say("step_greatest_of_lines"), "U = U0 * Cmax", used, quantity("U", u0_v * factor, "V")),)


def _solution(pen: OpenPen, say: Sentences) -> tuple[tuple[Step, ...], tuple[Quantity, ...]]:
    """The steps from the network to each voltage and current, and these."""
    network, found = open_pen_network(pen), open_pen_voltages(pen)
    solution = solve(network)
    gives = solved("terminal_voltage", found.terminal_v, "V")
    steps = [step(say("step_behind_the_break"), laws(say), elements(network), gives)]
    if pen.earth_ohm is not None:
        current = phasor("I", solution.current("earth path"), "A")
        gives = solved("earth_current", found.earth_current_a, "A")
        steps.append(step(say("step_to_earth_and_back"), "|I|", current, gives))
    loads = [branch for branch in network.branches if isinstance(branch, Admittance)]
    for number, (load, load_v) in enumerate(zip(loads, found.load_v, strict=True), start=1):
        ends = (*phasor("V(line)", solution.node_v[load.a], "V"), *phasor("V(terminal)", solution.node_v[load.b], "V"))
        gives = solved(f"load_voltage/{number}", load_v, "V")
        steps.append(step(say("step_across_load", number=str(number)), "|V(line) - V(terminal)|", ends, gives))
    return tuple(steps), tuple(one.gives for one in steps)


def _at_limit(loads: Sequence[Load], source_electrode_ohm: float, limit_v: float, say: Sentences) -> tuple[tuple[Step, ...], Judgement]:
    """The resistance to earth that brings the terminal to just the limit, if there is one, and whether there is."""
    floating_v = open_pen_voltages(OpenPen(tuple(loads), None, source_electrode_ohm)).terminal_v
    if floating_v <= limit_v:
        said = say("judged_never_passed", voltage=f"{floating_v:.1f}")
        return (), Judgement("earth_resistance", "limit_never_passed", said)
    ohm = earth_resistance_at(limit_v, tuple(loads), source_electrode_ohm)
    gives = quantity("earth_resistance_at_limit", ohm, "ohm")
    dead_a = open_pen_voltages(OpenPen(tuple(loads), 0, source_electrode_ohm)).earth_current_a
    used = (quantity("limit", limit_v, "V"), quantity("Uo", floating_v, "V"), quantity("Is", dead_a, "A"))
    says = say("step_just_the_limit")
    said = say("judged_passed_above", resistance=f"{gives.value:.4g}")
    return (step(says, "Uo R / (Uo / Is + R) = limit", used, gives),), Judgement("earth_resistance", "limit_passed_above_it", said)


OPEN_PEN = Calculation("open-pen", OpenPenInputs, _VALIDITY, _work)

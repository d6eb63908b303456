"""Flats bonded to one riser, some of which have lost their PEN."""

from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from bondwright.calculations.answer import Step
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import Calculation, Worked, step
from bondwright.calculations.faults.elements import LineVoltageInputs, PartName, elements, laws, line_voltage, names_twice, phasor, solved
from bondwright.calculations.faults.loads import PenLoad, as_loads, load_faults
from bondwright.calculations.inputs import Ohm
from bondwright.calculators.networks.linear import solve
from bondwright.calculators.networks.open_pen import Flat, SharedRiser, riser_currents, riser_network
from bondwright.errors import Contradiction, Fault
from bondwright.installation.words import Described, LeftOut
from bondwright.rulebook.held import Sentences

_VALIDITY = (
    "holds_riser_is_one_joint",
    "holds_loads_keep_no_reactance",
    "holds_reactance_of_bonds",
    "holds_power_factor_of_flat",
    "holds_as_long_as_the_break",
)


class RiserFlat(Described):
    """One of the flats, each with its own supply."""

    name: PartName = Field(description="A name of its own; it stands in the answer.", examples=["flat 1"])
    bond_ohm: Ohm = Field(description="From its main earthing terminal to the riser, in ohm.", examples=[0.04])
    pen_ohm: LeftOut[Ohm] = Field(
        None, description="Its PEN, from its terminal to the star point, in ohm; left out: broken.", examples=[0.15]
    )
    loads: Annotated[tuple[PenLoad, ...], Field(max_length=6)] = Field((), description="Its loads that are on.")


class SharedRiserInputs(LineVoltageInputs):
    """Flats on one metal riser; the PEN of one or more is broken."""

    flats: Annotated[tuple[RiserFlat, ...], Field(min_length=1, max_length=30)] = Field(description="The flats, one or more.")
    riser_ohm: LeftOut[Ohm] = Field(None, description="From the riser to true earth, in ohm; left out: no contact.")
    source_electrode_ohm: Ohm = Field(description="The star point to true earth, in ohm; 0 where the two are taken as one.", examples=[0])


def _work(asked: SharedRiserInputs, bench: Bench) -> Worked:
    if faults := tuple(_faults(asked)):
        raise Contradiction(faults)
    u0_v = line_voltage(asked, bench)
    flats, steps = [], list[Step]()
    for flat in asked.flats:
        loads, resistances = as_loads(flat.loads, u0_v, bench, flat=flat.name)
        flats.append(Flat(flat.name, flat.bond_ohm, flat.pen_ohm, loads))
        steps += resistances
    solution = _solution(SharedRiser(tuple(flats), asked.riser_ohm, asked.source_electrode_ohm), bench.say)
    return Worked(tuple(one.gives for one in solution), (*steps, *solution))


def _solution(shared: SharedRiser, say: Sentences) -> tuple[Step, ...]:
    """The steps from the network to the voltage of the riser, and the current and voltage of each flat."""
    network, found = riser_network(shared), riser_currents(shared)
    solution = solve(network)
    gives = solved("riser_voltage", found.riser_v, "V")
    steps = [step(say("step_riser"), laws(say), elements(network), gives)]
    for flat, bond_a, terminal_v in zip(shared.flats, found.bond_a, found.terminal_v, strict=True):
        gives = solved(f"bond_current/{flat.name}", bond_a, "A")
        current = phasor("I", solution.current(f"bond of {flat.name}"), "A")
        steps.append(step(say("step_bond_of_flat", flat=flat.name), "|I|", current, gives))
        gives = solved(f"terminal_voltage/{flat.name}", terminal_v, "V")
        voltage = phasor("V", solution.node_v[f"terminal of {flat.name}"], "V")
        steps.append(step(say("step_terminal_of_flat", flat=flat.name), "|V|", voltage, gives))
    return tuple(steps)


def _faults(asked: SharedRiserInputs) -> Iterator[Fault]:
    names = [flat.name for flat in asked.flats]
    yield from names_twice(names, [f"/flats/{at}/name" for at in range(len(names))])
    for at, flat in enumerate(asked.flats):
        yield from load_faults(flat.loads, f"/flats/{at}/loads")


SHARED_RISER = Calculation("shared-riser", SharedRiserInputs, _VALIDITY, _work)

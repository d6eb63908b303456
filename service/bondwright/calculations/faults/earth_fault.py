"""Touch voltages while a fault to earth lasts, with and without bonding."""

from collections.abc import Iterator, Sequence
from functools import cache
from typing import Annotated, Literal

from pydantic import Field

from bondwright.calculations.answer import Quantity, Step
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import Calculation, Worked, missing, step
from bondwright.calculations.faults.elements import LineVoltageInputs, PartName, elements, laws, line_voltage, names_twice, solved
from bondwright.calculations.inputs import Ohm
from bondwright.calculators.networks.earth_fault import (
    CASE,
    EARTH,
    TERMINAL,
    Circuit,
    EarthFault,
    FaultVoltages,
    Part,
    SupplementaryBond,
    Supply,
    fault_network,
    fault_voltages,
)
from bondwright.errors import Contradiction, Fault
from bondwright.installation.words import Described, LeftOut
from bondwright.rulebook.held import Sentences

_CONTACTS = "`to_earth_ohm` or `main_bond_ohm`, in ohm"
_VALIDITY = (
    "holds_all_resistance",
    "holds_slower_with_reactance",
    "holds_reactance_of_source",
    "holds_before_anyone_touches",
    "holds_true_earth",
    "holds_no_touch_is_safe",
)


class FaultSupply(Described):
    """What lies between the source and the origin of the installation."""

    source_ohm: Ohm = Field(0.0, description="The winding, in ohm; 0 where `line_ohm` includes it.")
    line_ohm: Ohm = Field(description="The line from the source to the origin, in ohm.", examples=[0.2])
    return_ohm: LeftOut[Ohm] = Field(
        None,
        description="Protective conductor or PEN from the main earthing terminal to the star point, in ohm; needed in TN, none in TT.",
        examples=[0.15],
    )
    source_electrode_ohm: Ohm = Field(description="The star point to true earth, in ohm; 0 where the two are taken as one.", examples=[0])


class FaultCircuit(Described):
    """The circuit with the fault."""

    r1_ohm: Ohm = Field(description="The line from the origin to the equipment, in ohm.", examples=[0.3])
    r2_ohm: LeftOut[Ohm] = Field(
        None,
        description="The protective conductor from the case to the main earthing terminal, in ohm; left out: broken or missing.",
        examples=[0.46],
    )
    fault_ohm: Ohm = Field(0.0, description="The fault itself, in ohm; 0 for a dead one.")


class ConductivePart(Described):
    """Another part that conducts: a pipe, or the case of sound equipment."""

    name: PartName = Field(description="A name of its own; it stands in the answer.")
    to_earth_ohm: LeftOut[Ohm] = Field(None, description="To true earth by itself, in ohm; left out: no contact.", examples=[20])
    main_bond_ohm: LeftOut[Ohm] = Field(
        None,
        description="To the main earthing terminal by its bond, or by its own protective conductor, in ohm; left out: neither.",
        examples=[0.02],
    )


class PairOfParts(Described):
    """Two of: a part by its name, `case`, `terminal`, `earth`."""

    a: PartName = Field(description="One of the two.", examples=[CASE])
    b: PartName = Field(description="The other.", examples=[TERMINAL])


class BondBetweenParts(PairOfParts):
    """A supplementary bond between two of: a part by its name, `case`, `terminal`, `earth`."""

    ohm: Ohm = Field(description="Its resistance, in ohm.", examples=[0.05])


class EarthFaultInputs(LineVoltageInputs):
    """One fault from line to the case of equipment; voltages of everything to true earth, and between parts."""

    system: Literal["tn_s", "tn_c_s", "tt"] = Field(description="The system of earthing.")
    supply: FaultSupply = Field(description="What lies outside the installation.")
    circuit: FaultCircuit = Field(description="The circuit with the fault.")
    electrode_ohm: LeftOut[Ohm] = Field(None, description="The main earthing terminal to true earth, in ohm; needed in TT.")
    parts: Annotated[tuple[ConductivePart, ...], Field(max_length=40)] = Field((), description="Other parts that conduct.")
    supplementary_bonds: Annotated[tuple[BondBetweenParts, ...], Field(max_length=40)] = Field((), description="Supplementary bonds.")
    between: Annotated[tuple[PairOfParts, ...], Field(max_length=100)] = Field(
        (), description="Pairs whose voltage is asked for; empty: the case against the terminal and against each part."
    )
    bonding: Literal["as_described", "main_bonds_only", "none"] = Field(
        "as_described", description="Work out the same installation without its supplementary bonds, or without main bonds too."
    )


def _work(asked: EarthFaultInputs, bench: Bench) -> Worked:
    if faults := tuple(_faults(asked)):
        raise Contradiction(faults)
    fault = _described(asked, line_voltage(asked, bench))
    found = fault_voltages(fault)
    current = solved("fault_current", found.fault_current_a, "A")
    steps = [step(bench.say("step_fault_network"), laws(bench.say), elements(fault_network(fault)), current)]
    steps += [_voltage(found, a, b, bench.say) for a, b in _pairs(asked, found)]
    return Worked(tuple(one.gives for one in steps), tuple(steps))


def _pairs(asked: EarthFaultInputs, found: FaultVoltages) -> tuple[tuple[str, str], ...]:
    """Everything against true earth, then the pairs asked for, each once."""
    others = [TERMINAL, *(part.name for part in asked.parts)]
    wanted = [(pair.a, pair.b) for pair in asked.between] or [(CASE, other) for other in others]
    return tuple(dict.fromkeys([*((name, EARTH) for name in found.to_earth_v), *wanted]))


def _voltage(found: FaultVoltages, a: str, b: str, say: Sentences) -> Step:
    used = (_against_earth(found, a), _against_earth(found, b))
    opposed = min(one.value for one in used) < 0
    gives = solved(f"voltage/{a}/{b}", found.between(a, b), "V")
    says = say("step_voltage_opposed" if opposed else "step_voltage_between", one=a, other=b)
    return step(says, f"|V({a}) - V({b})|", used, gives)


def _against_earth(found: FaultVoltages, name: str) -> Quantity:
    return solved(f"V({name})", 0.0 if name == EARTH else found.to_earth_v[name], "V")


def _described(asked: EarthFaultInputs, u0_v: float) -> EarthFault:
    supply, circuit = asked.supply, asked.circuit
    return EarthFault(
        Supply(u0_v, supply.source_ohm, supply.line_ohm, supply.return_ohm, supply.source_electrode_ohm),
        Circuit(circuit.r1_ohm, circuit.r2_ohm, circuit.fault_ohm),
        asked.electrode_ohm,
        tuple(Part(part.name, part.to_earth_ohm, _main_bond(asked, part)) for part in asked.parts),
        tuple(SupplementaryBond(bond.a, bond.b, bond.ohm) for bond in _supplementary(asked)),
    )


def _main_bond(asked: EarthFaultInputs, part: ConductivePart) -> float | None:
    return None if asked.bonding == "none" else part.main_bond_ohm


def _supplementary(asked: EarthFaultInputs) -> tuple[BondBetweenParts, ...]:
    return asked.supplementary_bonds if asked.bonding == "as_described" else ()


@cache
def _reserved() -> tuple[str, ...]:
    """The names that the network has already."""
    return fault_network(EarthFault(Supply(1, 1, 1, 1, 1), Circuit(1, 1, 1), 1)).nodes


def _faults(asked: EarthFaultInputs) -> Iterator[Fault]:
    """What does not fit together, with its place."""
    if asked.system == "tt":
        if asked.supply.return_ohm is not None:
            yield Fault("/supply/return_ohm", "leave it out in TT, where electrodes alone lead back to the source")
        if asked.electrode_ohm is None:
            yield missing(asked, "electrode_ohm", "needed in TT")
    elif asked.supply.return_ohm is None:
        yield Fault("/supply/return_ohm", "needed in TN, in ohm; a broken PEN under load has a calculation of its own, `open-pen`")
    yield from _wrong_names(asked)
    for at, part in enumerate(asked.parts):
        joined = {end for bond in _supplementary(asked) for end in (bond.a, bond.b)}
        if part.to_earth_ohm is None and _main_bond(asked, part) is None and part.name not in joined:
            yield Fault(f"/parts/{at}", f"write {_CONTACTS}, or a supplementary bond to it; without one no voltage of this part is settled")


def _wrong_names(asked: EarthFaultInputs) -> Iterator[Fault]:
    names = [part.name for part in asked.parts]
    for at, name in enumerate(names):
        if name in _reserved():
            taken = ", ".join(f"`{one}`" for one in _reserved())
            yield Fault(f"/parts/{at}/name", f"write another name; these are taken: {taken}")
    yield from names_twice(names, [f"/parts/{at}/name" for at in range(len(names))])
    known = {CASE, TERMINAL, EARTH, *names}
    pairs: tuple[tuple[str, Sequence[PairOfParts]], ...] = (("supplementary_bonds", asked.supplementary_bonds), ("between", asked.between))
    for place, several in pairs:
        for at, two in enumerate(several):
            for end, name in (("a", two.a), ("b", two.b)):
                if name not in known:
                    yield Fault(f"/{place}/{at}/{end}", f"write `{CASE}`, `{TERMINAL}`, `{EARTH}`, or the name of one of the parts")
            if two.a == two.b:
                yield Fault(f"/{place}/{at}", "write two that differ")


EARTH_FAULT = Calculation("earth-fault", EarthFaultInputs, _VALIDITY, _work)

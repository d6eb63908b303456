"""What fault networks have in common: names of parts, the voltage of a line, and their elements as the working shows them."""

import cmath
import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Annotated, TypeAlias

from pydantic import Field

from bondwright.calculations.answer import Quantity
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import quantity
from bondwright.calculations.inputs import Inputs, VoltageV
from bondwright.calculators.networks.linear import Admittance, Branch, Network, Resistance, Source
from bondwright.errors import Fault
from bondwright.installation.words import IN_WORDS, LeftOut
from bondwright.rulebook.held import Sentences

PartName: TypeAlias = Annotated[
    str,
    Field(
        pattern=r"^[A-Za-z0-9][A-Za-z0-9 _-]{0,39}$",
        examples=["water pipe"],
        json_schema_extra={IN_WORDS: "letters, digits, space, underscore and hyphen, a letter or digit first, 40 at most"},
    ),
]

_LAW = "U = R I"

_ROUNDING_LEAVES = 1e-10
"""Volt or ampere: what is less stands for zero."""


class LineVoltageInputs(Inputs):
    """What every fault network is asked."""

    u0_v: LeftOut[VoltageV] = Field(None, description="Voltage of line to star point, in volt; left out: the nominal one of the rule pack.")


def line_voltage(asked: LineVoltageInputs, bench: Bench) -> float:
    """Voltage in volt of line to star point, as given or as the pack has it."""
    return bench.value("nominal_voltage") if asked.u0_v is None else asked.u0_v


def solved(name: str, value: float, unit: str) -> Quantity:
    """A voltage or current out of a network; zero where only rounding is left of it.

    >>> solved("terminal_voltage", 3e-14, "V").value
    0.0
    """
    return quantity(name, 0.0 if abs(value) < _ROUNDING_LEAVES else value, unit)


def phasor(name: str, value: complex, unit: str) -> tuple[Quantity, ...]:
    """A voltage or current out of a network by its part in phase with line l1 and, unless it is zero, the part 90 degrees ahead.

    >>> [(one.name, one.value) for one in phasor("V(terminal)", 3 + 4j, "V")]
    [('V(terminal) in phase', 3.0), ('V(terminal) ahead', 4.0)]
    """
    along, ahead = solved(f"{name} in phase", value.real, unit), solved(f"{name} ahead", value.imag, unit)
    return (along, ahead) if ahead.value else (along,)


def laws(say: Sentences) -> str:
    """The formula of the step that solves a network."""
    return say("formula_network", law=_LAW)


def elements(network: Network) -> tuple[Quantity, ...]:
    """The branches of a network as a step shows them: name, what they join, and their volt or ohm."""
    return tuple(shown for branch in network.branches for shown in _shown(branch))


def _shown(branch: Branch) -> Iterator[Quantity]:
    name = f"{branch.name} ({branch.a} - {branch.b})"
    match branch:
        case Resistance(ohm=ohm):
            yield quantity(name, ohm, "ohm")
        case Admittance(siemens=siemens):
            yield quantity(name, (1 / siemens).real, "ohm")
        case Source(volt=0):
            yield quantity(name, 0.0, "ohm")
        case Source(volt=volt):
            yield quantity(name, abs(volt), "V")
            if angle := math.degrees(cmath.phase(volt)):
                yield quantity(f"angle of {branch.name}", angle, "deg")


def names_twice(names: Sequence[str], places: Iterable[str]) -> Iterator[Fault]:
    """A fault at each place whose name stands earlier already."""
    for at, (name, place) in enumerate(zip(names, places, strict=True)):
        if name in names[:at]:
            yield Fault(place, "write a name that none before it has")

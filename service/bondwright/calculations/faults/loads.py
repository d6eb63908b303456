"""Loads behind a broken PEN, as they are described and as the networks take them."""

from collections.abc import Iterator, Sequence
from typing import Annotated, Literal

from pydantic import Field

from bondwright.calculations.answer import Step
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import quantity, step
from bondwright.calculations.inputs import RatedV, SomeOhm
from bondwright.calculators.networks.open_pen import Load, resistance_of_load
from bondwright.errors import Fault
from bondwright.installation.words import Described, LeftOut
from bondwright.rulebook.held import Sentences

_ANGLE_DEG = {"l1": 0.0, "l2": -120.0, "l3": 120.0}
"""Of each line against the first: three phases, evenly apart."""


class PenLoad(Described):
    """A load between a line and the neutral, by its power or by its resistance."""

    power_w: LeftOut[Annotated[float, Field(ge=1, le=1_000_000)]] = Field(
        None, description="What it takes at its rated voltage, in watt; its power factor is taken as one.", examples=[4600]
    )
    rated_v: LeftOut[RatedV] = Field(
        None,
        description="Voltage at which it takes its power, line to neutral, in volt; left out: the nominal one of the rule pack.",
    )
    resistance_ohm: LeftOut[SomeOhm] = Field(None, description="Its resistance in ohm, in place of its power.")
    phase: Literal["l1", "l2", "l3"] = Field("l1", description="The line that it hangs on.")


def load_faults(loads: Sequence[PenLoad], place: str) -> Iterator[Fault]:
    """A fault for each load that is not described by just one of power and resistance; `place` is that of the list."""
    for at, load in enumerate(loads):
        if (load.power_w is None) == (load.resistance_ohm is None):
            yield Fault(f"{place}/{at}", "write either `power_w` in watt or `resistance_ohm` in ohm, one of the two")
        elif load.power_w is None and load.rated_v is not None:
            yield Fault(f"{place}/{at}/rated_v", "left out beside `resistance_ohm`: only a power is rated at a voltage")


def as_loads(
    loads: Sequence[PenLoad], u0_v: float, bench: Bench, *, factor: float = 1, flat: str = ""
) -> tuple[tuple[Load, ...], tuple[Step, ...]]:
    """The loads of a network at `u0_v` times `factor`, and the steps that give the resistances from the powers.

    A load keeps the resistance that it has at its rated voltage. `flat`: whose loads they are, for the names in the steps.
    Raises: OutOfRange.
    """
    built, steps = [], []
    for number, load in enumerate(loads, start=1):
        ohm = load.resistance_ohm
        if ohm is None:
            worked = _resistance(load, _named(number, flat, bench.say), bench)
            ohm = worked.gives.value
            steps.append(worked)
        built.append(Load(u0_v * factor, ohm, _ANGLE_DEG[load.phase]))
    return tuple(built), tuple(steps)


def _resistance(load: PenLoad, name: str, bench: Bench) -> Step:
    assert load.power_w is not None  # one of power and resistance is there, see load_faults
    rated_v = bench.value("nominal_voltage") if load.rated_v is None else load.rated_v
    gives = quantity("R", resistance_of_load(rated_v, load.power_w), "ohm")
    used = (quantity("Ur", rated_v, "V"), quantity("P", load.power_w, "W"))
    says = bench.say("step_load_at_nominal" if load.rated_v is None else "step_load_at_rated", load=name)
    return step(says, "R = Ur^2 / P", used, gives)


def _named(number: int, flat: str, say: Sentences) -> str:
    return say("load_named_of", number=str(number), flat=flat) if flat else say("load_named", number=str(number))

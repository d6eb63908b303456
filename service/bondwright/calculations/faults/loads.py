"""Loads behind a broken PEN, as they are described and as the networks take them."""

from collections.abc import Iterator, Sequence
from typing import Annotated, Literal

from pydantic import Field

from bondwright.calculations.answer import Step
from bondwright.calculations.calculation import quantity, step
from bondwright.calculations.inputs import SomeOhm
from bondwright.calculators.networks.open_pen import Load, resistance_of_load
from bondwright.errors import Fault
from bondwright.installation.words import Described, LeftOut

_ANGLE_DEG = {"l1": 0.0, "l2": -120.0, "l3": 120.0}
"""Of each line against the first: three phases, evenly apart."""


class PenLoad(Described):
    """A load between a line and the neutral, by its power or by its resistance."""

    power_w: LeftOut[Annotated[float, Field(ge=1, le=1_000_000)]] = Field(
        None, description="What it takes at the nominal voltage, in watt.", examples=[4600]
    )
    resistance_ohm: LeftOut[SomeOhm] = Field(None, description="Its resistance in ohm, in place of its power.")
    phase: Literal["l1", "l2", "l3"] = Field("l1", description="The line that it hangs on.")


def load_faults(loads: Sequence[PenLoad], place: str) -> Iterator[Fault]:
    """A fault for each load that is not described by just one of power and resistance; `place` is that of the list."""
    for at, load in enumerate(loads):
        if (load.power_w is None) == (load.resistance_ohm is None):
            yield Fault(f"{place}/{at}", "write either `power_w` or `resistance_ohm`, one of the two")


def as_loads(loads: Sequence[PenLoad], u0_v: float, factor: float, of: str = "") -> tuple[tuple[Load, ...], tuple[Step, ...]]:
    """The loads of a network at `u0_v` times `factor`, and the steps that give the resistances; each keeps the one it has at `u0_v`.

    `of`: whose loads they are, for the names in the steps. Raises: OutOfRange.
    """
    built, steps = [], []
    for number, load in enumerate(loads, start=1):
        ohm = load.resistance_ohm
        if ohm is None:
            assert load.power_w is not None  # one of the two is there, see load_faults
            ohm = resistance_of_load(u0_v, load.power_w)
            used = (quantity("U0", u0_v, "V"), quantity("P", load.power_w, "W"))
            steps.append(step(f"Load {number}{of}, which keeps its resistance", "R = U0^2 / P", used, quantity("R", ohm, "ohm")))
        built.append(Load(u0_v * factor, ohm, _ANGLE_DEG[load.phase]))
    return tuple(built), tuple(steps)

"""The greatest resistance between parts at which bonding still holds the touch voltage down."""

from typing import Annotated, Literal, TypeAlias

from pydantic import ConfigDict, Field

from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import Calculation, Worked, at_most, missing, quantity, step
from bondwright.calculations.readings import AS_SHOWN, OhmReading, bound, judged_below
from bondwright.calculations.touch.device import DEVICE_VALIDITY, DEVICE_WORDS, Device, DeviceInputs, Operating, device_current
from bondwright.calculators.effectiveness import resistance_limit
from bondwright.errors import Contradiction, Fault
from bondwright.installation.meters import shown
from bondwright.installation.words import LeftOut
from bondwright.rulebook.declared.places import ROOM
from bondwright.rulebook.facts import Between

_VALIDITY = (
    "holds_never_its_rating",
    "holds_largest_decides",
    "holds_no_soil_or_water",
    "holds_rounded_down",
    *DEVICE_VALIDITY,
)


OperatingA: TypeAlias = Annotated[float, Field(ge=0.005, le=100_000)]


class ResistanceLimitInputs(DeviceInputs):
    """A touch voltage that may last, the device or its operating current, and a reading if there is one."""

    device: LeftOut[Device] = Field(None, description=f"{DEVICE_WORDS} Left out where the operating current is given.", examples=["B"])
    operating_current_a: LeftOut[OperatingA] = Field(
        None, description="Current at which the device acts in time, in place of the device; not its rating."
    )
    voltage: Literal["ac", "ac_medical", "dc"] = Field(
        "ac", description="The voltage that may last: alternating current, that in medical locations, or direct current."
    )
    measured_ohm: LeftOut[OhmReading] = Field(None, description=f"What the instrument showed between the parts. {AS_SHOWN}")

    model_config = ConfigDict(json_schema_extra={"examples": [{"device": "B", "rated_a": 32, "measured_ohm": 0.05}]})


def _worked(asked: ResistanceLimitInputs, bench: Bench) -> Worked:
    acts = _current(asked, bench)
    voltage, limit = _limit(asked, acts.current_a, bench)
    result = at_most("limit", limit, "ohm")
    used = (quantity("U", voltage, "V"), quantity("Ia", acts.current_a, "A"))
    says = bench.say("step_resistance_limit")
    steps = (*acts.steps, step(says, "limit = U / Ia", used, result))
    if asked.measured_ohm is None:
        return Worked((result,), steps, acts.judged)
    reading = shown(asked.measured_ohm)
    return Worked((result, *bound(reading)), steps, (*acts.judged, judged_below(reading, limit, bench)))


def _limit(asked: ResistanceLimitInputs, current: float, bench: Bench) -> tuple[float, float]:
    """The voltage that may last, and the limit; for alternating current the one that the rules of the pack conclude.

    Raises: Contradiction, if the rules do not reckon with such a current; OutOfRange.
    """
    if asked.voltage != "ac":
        voltage = bench.cell("lasting-touch-voltage", asked.voltage, place="/voltage")
        return voltage, resistance_limit(voltage, current)
    fact, outcome = bench.pack.fact(bench.pack.places.ranked("disconnecting_current")), bench.pack.places.limit
    if not fact.lowest <= current <= fact.highest:
        place = "operating_current_a" if asked.device is None else "rated_a"
        detail = f"must give an operating current from {fact.lowest:g} to {fact.highest:g} A, with which the rules reckon"
        raise Contradiction((Fault(f"/{place}", detail),))
    return bench.value("touch_voltage_limit"), bench.size(ROOM, outcome, {fact.name: Between(current, current)})


def _current(asked: ResistanceLimitInputs, bench: Bench) -> Operating:
    if asked.device is None:
        for name in ("rated_a", "rated_residual_a"):
            if getattr(asked, name) is not None:
                raise Contradiction((Fault(f"/{name}", "a rating needs its `device`; the rating itself is no operating current"),))
        if asked.operating_current_a is None:
            raise Contradiction((missing(asked, "operating_current_a", "needed, or else `device` with its rating"),))
        return Operating(asked.operating_current_a, (), ())
    if asked.operating_current_a is not None:
        raise Contradiction((Fault("/operating_current_a", "must be left out where `device` is given"),))
    return device_current(asked.device, asked, bench)


RESISTANCE_LIMIT = Calculation("resistance-limit", ResistanceLimitInputs, _VALIDITY, _worked)

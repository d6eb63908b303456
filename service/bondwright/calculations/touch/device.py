"""The current at which a protective device acts in time; never its rating."""

from typing import Annotated, Literal, TypeAlias

from pydantic import Field

from bondwright.calculations.answer import Step
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import Calculation, Worked, needed, quantity, step
from bondwright.calculations.inputs import Inputs, RatedA
from bondwright.calculators.disconnection import tabulated_current
from bondwright.calculators.effectiveness import operating_current
from bondwright.errors import Contradiction, Fault
from bondwright.installation.words import LeftOut

Device: TypeAlias = Literal["B", "C", "D", "type_1", "type_2", "type_3", "type_4", "bs3036", "bs1361", "bs88_gg", "rcd"]
"""Type of a circuit-breaker, standard of a fuse, or a residual current device."""
DEVICE_WORDS = "Type of the circuit-breaker (type 1 to 4: the old ones), standard of the fuse, or rcd for a residual current device."
DEVICE_VALIDITY = (
    "For a circuit-breaker it is the upper end of the range in which its type acts at once.",
    "For types C and D some sources give a lower current within 5 s; the higher one is taken here.",
    "A fuse has the current of the table for its rating; nothing is guessed between ratings.",
    "A residual current device is taken to be of the general type; one that acts with a delay goes by its maker's times.",
)

Time: TypeAlias = Literal["within_0_4_s", "within_5_s"]
"""The time within which a device must act, by its name in the tables."""

_GIVEN = "operating_current"
_FUSES = frozenset({"bs3036", "bs1361", "bs88_gg"})
_FUSE_TABLES: dict[Time, str] = {"within_0_4_s": "fuse-current-0-4-s", "within_5_s": "fuse-current-5-s"}


class DeviceInputs(Inputs):
    """The rating of a protective device and the time within which it must act."""

    rated_a: LeftOut[RatedA] = Field(None, description="Rated current; needed for a circuit-breaker and a fuse.", examples=[32])
    rated_residual_a: LeftOut[Annotated[float, Field(ge=0.005, le=30)]] = Field(
        None, description="Rated residual operating current in ampere; needed for a residual current device."
    )
    time: Time = Field("within_5_s", description="The time within which it must act.")


class OperatingCurrentInputs(DeviceInputs):
    """A protective device, by its type and rating."""

    device: Device = Field(description=DEVICE_WORDS, examples=["B"])


def device_current(device: Device, asked: DeviceInputs, bench: Bench) -> tuple[float, Step]:
    """The current in ampere at which the device acts in time, and the step that gives it.

    Raises: Contradiction, if its rating is missing, the other rating is given, or no table has it; OutOfRange, if a table
    gives no more than the rating.
    """
    if device == "rcd":
        _left_out(asked, "rated_a", "a residual current device acts by its rated residual operating current")
        return _residual(needed(asked, "rated_residual_a"))
    _left_out(asked, "rated_residual_a", "it belongs to a residual current device")
    rated = needed(asked, "rated_a")
    return _fuse(device, rated, asked.time, bench) if device in _FUSES else _breaker(device, rated, asked.time, bench)


def _residual(rated_residual: float) -> tuple[float, Step]:
    used = (quantity("Idn", rated_residual, "A"),)
    says = "It acts at its rated residual operating current"
    return rated_residual, step(says, f"{_GIVEN} = Idn", used, quantity(_GIVEN, rated_residual, "A"))


def _fuse(fuse: Device, rated: float, time: Time, bench: Bench) -> tuple[float, Step]:
    cell = bench.cell(_FUSE_TABLES[time], fuse, rated, place="/rated_a")
    current = tabulated_current(rated, {rated: cell})
    rows = (bench.row(_FUSE_TABLES[time], fuse, rated),)
    says = "The current at which a fuse of this rating acts in time, read from the table"
    return current, step(says, f"{_GIVEN} = table(In)", (quantity("In", rated, "A"),), quantity(_GIVEN, current, "A"), rows)


def _breaker(breaker: Device, rated: float, time: Time, bench: Bench) -> tuple[float, Step]:
    multiple = bench.cell("breaker-multiple", breaker, time, place="/time")
    current = operating_current(rated, multiple)
    used = (quantity("In", rated, "A"), quantity("m", multiple, "of one"))
    rows = (bench.row("breaker-multiple", breaker, time),)
    says = "The multiple of its rating at which a circuit-breaker of this type surely acts"
    return current, step(says, f"{_GIVEN} = m * In", used, quantity(_GIVEN, current, "A"), rows)


def _left_out(asked: DeviceInputs, name: str, why: str) -> None:
    if getattr(asked, name) is not None:
        raise Contradiction((Fault(f"/{name}", f"must be left out with this device: {why}"),))


def _current(asked: OperatingCurrentInputs, bench: Bench) -> Worked:
    _, working = device_current(asked.device, asked, bench)
    return Worked((working.gives,), (working,))


OPERATING_CURRENT = Calculation(
    "operating-current", "Current at which a protective device acts in time", OperatingCurrentInputs, DEVICE_VALIDITY, _current
)

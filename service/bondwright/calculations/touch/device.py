"""The current at which a protective device acts in time; never its rating."""

from typing import Literal, TypeAlias, get_args

from msgspec import Struct
from pydantic import Field

from bondwright.calculations.answer import Judgement, Step
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import Calculation, Worked, both, needed, quantity, step
from bondwright.calculations.inputs import Inputs
from bondwright.calculations.touch.residual import RatedOrLeftOut, RatedResidualA, doubted
from bondwright.calculators.disconnection import tabulated_current
from bondwright.calculators.effectiveness import operating_current
from bondwright.errors import Contradiction, Fault
from bondwright.installation.words import LeftOut
from bondwright.members import replace

Device: TypeAlias = Literal["B", "C", "D", "type_1", "type_2", "type_3", "type_4", "bs3036", "bs1361", "bs88_gg", "bs88_gg_1988", "rcd"]
"""Type of a circuit-breaker, standard of a fuse, or a residual current device."""
DEVICE_WORDS = (
    "Type of the circuit-breaker (type 1 to 4: the old ones), standard of the fuse, or rcd for a residual current device. bs88_gg is"
    " BS 88-2 and a gG fuse whose marking was not read, bs88_gg_1988 is BS 88-2.2 and BS 88-6."
)
DEVICE_VALIDITY = (
    "holds_upper_end",
    "holds_types_c_and_d",
    "holds_fuse_of_table",
    "holds_greater_of_times",
    "holds_general_type",
)

Time: TypeAlias = Literal["within_0_4_s", "within_5_s"]
"""The time within which a device must act, by its name in the tables; the shortest first."""
_TIMES: tuple[Time, ...] = get_args(Time)
_TIME_WORDS: dict[Time, str] = {"within_0_4_s": "time_within_0_4_s", "within_5_s": "time_within_5_s"}
"""The sentence that says each time, by its code."""

_GIVEN = "operating_current"
_FUSES = frozenset({"bs3036", "bs1361", "bs88_gg", "bs88_gg_1988"})
_FUSE_TABLES: dict[Time, str] = {"within_0_4_s": "fuse-current-0-4-s", "within_5_s": "fuse-current-5-s"}


class DeviceInputs(Inputs):
    """The rating of a protective device and the time within which it must act."""

    rated_a: RatedOrLeftOut = Field(None, description="Rated current; needed for a circuit-breaker and a fuse.", examples=[32])
    rated_residual_a: LeftOut[RatedResidualA] = Field(
        None, description="Rated residual operating current in ampere, 0.03 for 30 mA; needed for a residual current device."
    )
    time: LeftOut[Time] = Field(
        None,
        description="The time within which it must act; left out, the greater of the two currents is taken. It does not matter to a"
        " residual current device.",
    )


class OperatingCurrentInputs(DeviceInputs):
    """A protective device, by its type and rating."""

    device: Device = Field(description=DEVICE_WORDS, examples=["B"])


class Operating(Struct, frozen=True):
    """The current in ampere at which a device acts in time; the last step gives it. `judged`: which time was taken, and doubts."""

    current_a: float
    steps: tuple[Step, ...]
    judged: tuple[Judgement, ...]


def device_current(device: Device, asked: DeviceInputs, bench: Bench) -> Operating:
    """The current at which the device acts in time; if no time is given, the greater one.

    Raises: Contradiction, if its rating is missing, the other rating is given, or no table has it; OutOfRange, if a table
    gives no more than the rating.
    """
    if device == "rcd":
        way_out = "a residual current device acts by its rated residual operating current, such as 0.03 in `rated_residual_a`"
        _left_out(asked, "rated_a", way_out)
        return _residual(needed(asked, "rated_residual_a"), bench)
    _left_out(asked, "rated_residual_a", "it belongs to a residual current device")
    rated = needed(asked, "rated_a")
    if asked.time is not None:
        judged = Judgement("time", asked.time, bench.say("judged_time_asked", time=bench.say(_TIME_WORDS[asked.time])))
        gives = _in_time(device, rated, asked.time, bench)
        return Operating(gives.gives.value, (gives,), (judged,))
    return _in_either_time(device, rated, bench)


def _in_either_time(device: Device, rated: float, bench: Bench) -> Operating:
    """The greater of the currents of all times; each is a step, that of the greater one the last."""
    if device in _FUSES:
        _has_every_time(device, rated, bench)
    steps = {time: _in_time(device, rated, time, bench) for time in reversed(_TIMES)}
    currents = {time: one.gives.value for time, one in steps.items()}
    taken = max(_TIMES, key=lambda time: currents[time])
    others = [time for time in _TIMES if time != taken]
    named = [replace(steps[time], gives=replace(steps[time].gives, name=f"{_GIVEN}_{time}")) for time in others]
    say = bench.say
    told = both((say("current_in_time", current=f"{currents[time]:g}", time=say(_TIME_WORDS[time])) for time in _TIMES), say)
    if len(set(currents.values())) == 1:
        judged = Judgement("time", "either", say("judged_either_time", told=told))
    else:
        judged = Judgement("time", taken, say("judged_greater_of_times", told=told))
    return Operating(currents[taken], (*named, steps[taken]), (judged,))


def _has_every_time(fuse: Device, rated: float, bench: Bench) -> None:
    """Raises: Contradiction, if only the table of a longer time has the fuse; within the shorter its current is greater, and not known."""
    there = [time for time in _TIMES if bench.pack.has_table(_FUSE_TABLES[time])]
    known = [time for time in there if (fuse, rated) in bench.pack.table(_FUSE_TABLES[time]).cells]
    if known and known[0] != _TIMES[0]:
        lacking = ", ".join(bench.say(_TIME_WORDS[time]) for time in _TIMES if time not in known)
        detail = f"needed for this fuse: no table has its current {lacking}, which is greater; write `{known[0]}` where that is enough"
        raise Contradiction((Fault("/time", detail),))


def _in_time(device: Device, rated: float, time: Time, bench: Bench) -> Step:
    return _fuse(device, rated, time, bench) if device in _FUSES else _breaker(device, rated, time, bench)


def _residual(rated_residual: float, bench: Bench) -> Operating:
    gives = quantity(_GIVEN, rated_residual, "A")
    working = step(bench.say("step_residual"), f"{_GIVEN} = Idn", (quantity("Idn", rated_residual, "A"),), gives)
    return Operating(rated_residual, (working,), doubted(rated_residual, bench))


def _fuse(fuse: Device, rated: float, time: Time, bench: Bench) -> Step:
    table = _FUSE_TABLES[time]
    if bench.pack.has_table(table) and not any(keys[0] == fuse for keys, _ in bench.pack.table(table)):
        raise Contradiction((Fault("/device", f"table `{table}` of this rule pack has no such fuse; name a newer pack"),))
    cell = bench.cell(table, fuse, rated, place="/rated_a")
    current = tabulated_current(rated, {rated: cell})
    rows = (bench.row(table, fuse, rated),)
    says = bench.say("step_fuse", time=bench.say(_TIME_WORDS[time]))
    return step(says, f"{_GIVEN} = table(In)", (quantity("In", rated, "A"),), quantity(_GIVEN, current, "A"), rows)


def _breaker(breaker: Device, rated: float, time: Time, bench: Bench) -> Step:
    multiple = bench.cell("breaker-multiple", breaker, time, place="/time")
    current = operating_current(rated, multiple)
    used = (quantity("In", rated, "A"), quantity("m", multiple, "of one"))
    rows = (bench.row("breaker-multiple", breaker, time),)
    says = bench.say("step_breaker", time=bench.say(_TIME_WORDS[time]))
    return step(says, f"{_GIVEN} = m * In", used, quantity(_GIVEN, current, "A"), rows)


def _left_out(asked: DeviceInputs, name: str, why: str) -> None:
    if getattr(asked, name) is not None:
        raise Contradiction((Fault(f"/{name}", f"must be left out with this device: {why}"),))


def _current(asked: OperatingCurrentInputs, bench: Bench) -> Worked:
    found = device_current(asked.device, asked, bench)
    return Worked((found.steps[-1].gives,), found.steps, found.judged)


OPERATING_CURRENT = Calculation("operating-current", OperatingCurrentInputs, DEVICE_VALIDITY, _current)

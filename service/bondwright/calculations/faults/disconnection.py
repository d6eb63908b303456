"""Limits that automatic disconnection asks of electrode, loop and time."""

from typing import Literal

from pydantic import Field

from bondwright.calculations.answer import Judgement
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import Calculation, Worked, at_most, quantity, step
from bondwright.calculations.faults.elements import LineVoltageInputs, line_voltage
from bondwright.calculations.inputs import CurrentA, Inputs, VoltageV
from bondwright.calculations.readings import AS_SHOWN, OhmReading, bound, judged_below
from bondwright.calculations.touch.residual import RatedResidualA, doubted
from bondwright.calculators.disconnection import electrode_limit, greatest_loop_impedance
from bondwright.errors import Contradiction, Fault
from bondwright.installation.meters import shown
from bondwright.installation.words import LeftOut
from bondwright.rulebook.reference import Key

_FINAL, _OTHER, _LASTING = "disconnection-time", "other-disconnection-time", "lasting-touch-voltage"
_LASTING_AC, _ACROSS_ELECTRODE, _GREATEST = "touch_voltage_limit", "electrode-touch-voltage", "greatest-voltage-factor"

_ELECTRODE_VALIDITY = (
    "holds_tt_with_rcd",
    "holds_written_in_ampere",
    "holds_worst_season",
)
_LOOP_VALIDITY = (
    "holds_warm_as_fault_finds",
    "holds_current_in_time",
    "holds_limit_of_impedance",
)
_TIME_VALIDITY = (
    "holds_which_are_final",
    "holds_times_of_tn",
    "holds_special_locations",
)


class ElectrodeLimitInputs(Inputs):
    """The residual current device that an earth electrode of TT must make act."""

    residual_current_a: RatedResidualA = Field(description="Rated residual operating current, in ampere: 0.03 for 30 mA.", examples=[0.03])
    measured_ohm: LeftOut[OhmReading] = Field(None, description=f"What the instrument showed for the electrode, to be judged. {AS_SHOWN}")


class LoopImpedanceLimitInputs(LineVoltageInputs):
    """The overcurrent device that a fault loop must make act in time."""

    u0_v: LeftOut[VoltageV] = Field(
        None, description="Nominal voltage of line to earth, in volt, and no reading; left out: that of the rule pack."
    )
    operating_current_a: CurrentA = Field(
        description="Current at which the device acts within the time that is asked, in ampere; not its rating.", examples=[160]
    )


class DisconnectionTimeInputs(Inputs):
    """A circuit and the supply that it hangs on."""

    system: Literal["tn", "tt"] = Field(description="The system of earthing.")
    current: Literal["ac", "dc"] = Field("ac", description="The kind of current.")
    voltage_v: LeftOut[VoltageV] = Field(None, description="Line to earth, in volt; left out: the nominal voltage of the rule pack.")
    circuit: Literal["final", "other"] = Field("final", description="A final circuit of the table, or another, such as distribution.")


def _electrode(asked: ElectrodeLimitInputs, bench: Bench) -> Worked:
    # Packs published before the table have only the value for bonding, with its clause.
    touch_v = bench.cell(_ACROSS_ELECTRODE) if bench.pack.has_table(_ACROSS_ELECTRODE) else bench.value(_LASTING_AC)
    limit = electrode_limit(touch_v, asked.residual_current_a)
    gives = at_most("electrode_limit", limit, "ohm")
    used = (quantity("UL", touch_v, "V"), quantity("Idn", asked.residual_current_a, "A"))
    working = step(bench.say("step_electrode_limit"), "RA = UL / Idn", used, gives)
    doubts = doubted(asked.residual_current_a, bench)
    if asked.measured_ohm is None:
        return Worked((gives,), (working,), doubts)
    reading = shown(asked.measured_ohm)
    return Worked((gives, *bound(reading)), (working,), (*doubts, judged_below(reading, limit, bench)))


def _loop(asked: LoopImpedanceLimitInputs, bench: Bench) -> Worked:
    (u0_v, told), factor = _nominal(asked, bench), bench.cell("least-voltage-factor")
    limit = greatest_loop_impedance(u0_v, asked.operating_current_a, factor)
    gives = quantity("loop_impedance_limit", limit, "ohm")
    used = (quantity("U0", u0_v, "V"), quantity("Cmin", factor, "of one"), quantity("Ia", asked.operating_current_a, "A"))
    working = step(bench.say("step_loop_limit"), "Zs = U0 * Cmin / Ia", used, gives)
    return Worked((gives,), (working,), told)


def _nominal(asked: LoopImpedanceLimitInputs, bench: Bench) -> tuple[float, tuple[Judgement, ...]]:
    """The nominal voltage in volt; what is above it and may yet be read on the same supply is taken for a reading."""
    u0_v = line_voltage(asked, bench)
    if asked.u0_v is None or not bench.pack.has_table(_GREATEST):
        return u0_v, ()
    nominal_v = bench.pack.number("nominal_voltage")
    if not nominal_v < u0_v <= nominal_v * bench.pack.table(_GREATEST).cell().value:
        return u0_v, ()
    taken_v, factor = bench.value("nominal_voltage"), bench.cell(_GREATEST)
    words = bench.say("judged_taken_for_a_reading", told=f"{u0_v:g}", nominal=f"{taken_v:g}", factor=f"{factor:g}")
    return taken_v, (Judgement("u0_v", "taken_for_a_reading", words),)


def _time(asked: DisconnectionTimeInputs, bench: Bench) -> Worked:
    voltage = bench.value("nominal_voltage") if asked.voltage_v is None else asked.voltage_v
    lasting = bench.value(_LASTING_AC) if asked.current == "ac" else bench.cell(_LASTING, asked.current)
    if voltage <= lasting:
        raise Contradiction(
            (Fault("/voltage_v", f"write a voltage above {lasting:g} V: no time is asked where the touch voltage may last"),)
        )
    used = [quantity("line to earth", voltage, "V")]
    if asked.circuit == "final":
        row = _row(voltage, bench)
        keys: tuple[Key, ...] = (asked.system, asked.current, row)
        time = bench.cell(_FINAL, *keys, place="/voltage_v")
        rows = (bench.row(_FINAL, *keys),)
        used.append(quantity("row of the table, up to", row, "V"))
    else:
        time = bench.cell(_OTHER, asked.system, place="/system")
        rows = (bench.row(_OTHER, asked.system),)
    gives = quantity("disconnection_time", time, "s")
    says = bench.say("step_longest_time")
    return Worked((gives,), (step(says, f"t({asked.system}, {asked.current})", tuple(used), gives, rows),))


def _row(voltage: float, bench: Bench) -> float:
    """The row of the table for a voltage: the least that is not below it, whatever its system; the voltage itself if there is none."""
    table = bench.pack.table(_FINAL) if bench.pack.has_table(_FINAL) else None
    rows = [keys[-1] for keys, _ in table] if table else []
    return min((row for row in rows if not isinstance(row, str) and row >= voltage), default=voltage)


ELECTRODE_LIMIT = Calculation("electrode-limit", ElectrodeLimitInputs, _ELECTRODE_VALIDITY, _electrode)
LOOP_IMPEDANCE_LIMIT = Calculation("loop-impedance-limit", LoopImpedanceLimitInputs, _LOOP_VALIDITY, _loop)
DISCONNECTION_TIME = Calculation("disconnection-time", DisconnectionTimeInputs, _TIME_VALIDITY, _time)

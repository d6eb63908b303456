"""Water in plastic pipe: how well a column of it isolates, and how long it must be."""

from typing import Annotated, Literal

from pydantic import ConfigDict, Field

from bondwright.calculations.answer import Judgement, Step
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import Calculation, Worked, missing, quantity, step
from bondwright.calculations.inputs import BoreMm, ConductivityUsPerCm, Inputs, Ohm
from bondwright.calculations.touch.isolation import TOUCH_CURRENT_WORDS, TouchCurrent, worked_limit
from bondwright.calculators.water import (
    column_current,
    column_resistance,
    conductivity_at,
    greatest_conductivity_at,
    growth_at,
    least_length,
)
from bondwright.errors import Contradiction, Fault
from bondwright.installation.words import LeftOut
from bondwright.rulebook.held import Sentences

_TABLE_AT_C = 20.0
"""The temperature of the table of waters, and of the coefficient of older packs, by the name of its column and its title."""
_GROWTH, _IN_USE, _OLDER_COEFFICIENT = "water-temperature-ratio", "water-temperature-in-use", "water-temperature-coefficient"
_VALIDITY = (
    "holds_full_plastic_pipe",
    "holds_waters_differ",
    "holds_highest_in_use",
    "holds_carried_by_highest",
    "holds_no_antifreeze",
    "holds_older_packs",
    "holds_column_alone",
)
_LENGTH_VALIDITY = (*_VALIDITY, "holds_no_printed_length")


class WaterInputs(Inputs):
    """Water in a pipe: the bore, and the water by name or by its conductivity."""

    bore_mm: BoreMm = Field(description="Inside diameter of the pipe, not its nominal size.", examples=[15])
    water: LeftOut[Literal["soft", "moderate", "hard", "very_hard", "drinking_water_limit", "dosed_heating"]] = Field(
        None, description="The water by name; or give its conductivity.", examples=["hard"]
    )
    conductivity_us_per_cm: LeftOut[ConductivityUsPerCm] = Field(None, description="Conductivity of the water, in place of its name.")
    conductivity_at_c: LeftOut[Annotated[float, Field(ge=0, le=100)]] = Field(
        None,
        description="Temperature in °C for which the conductivity is given, as the meter or the report says; left out, 20 °C.",
        examples=[25],
    )
    temperature_c: LeftOut[Annotated[float, Field(ge=0, le=100)]] = Field(
        None,
        description="Temperature in °C of the water in the pipe at its warmest; left out, the highest that such water has in use.",
        examples=[20],
    )


class WaterColumnInputs(WaterInputs):
    """A column of water in plastic pipe."""

    length_m: Annotated[float, Field(ge=0.001, le=10000)] = Field(description="Length of the plastic pipe.", examples=[3])

    model_config = ConfigDict(json_schema_extra={"examples": [{"length_m": 3, "bore_mm": 15, "water": "hard", "temperature_c": 20}]})


class WaterLengthInputs(WaterInputs):
    """A resistance that a column of water must have."""

    limit_ohm: LeftOut[Ohm] = Field(None, description="The resistance; left out, the isolation limit of a touch current.")
    touch_current: LeftOut[TouchCurrent] = Field(
        None, description=f"{TOUCH_CURRENT_WORDS} Left out where `limit_ohm` is given; with neither, the default."
    )


def _column(asked: WaterColumnInputs, bench: Bench) -> Worked:
    conductivity, working, judged = _conductivity(asked, bench)
    voltage = bench.value("nominal_voltage")
    resistance = column_resistance(asked.length_m, asked.bore_mm, conductivity)
    current = column_current(voltage, asked.length_m, asked.bore_mm, conductivity)
    results = quantity("resistance", resistance, "ohm"), quantity("current", current, "A")
    used = (quantity("L", asked.length_m, "m"), quantity("d", asked.bore_mm, "mm"), quantity("s", conductivity, "uS/cm"))
    through = step(bench.say("step_column"), "resistance = L / (s * pi / 4 * d^2)", used, results[0])
    over = (quantity("U0", voltage, "V"), results[0])
    driven = step(bench.say("step_column_current"), "current = U0 / resistance", over, results[1])
    return Worked(results, (*working, through, driven), judged)


def _length(asked: WaterLengthInputs, bench: Bench) -> Worked:
    conductivity, working, judged = _conductivity(asked, bench)
    limit, before = _limit(asked, bench)
    result = quantity("length", least_length(limit, asked.bore_mm, conductivity), "m")
    used = (quantity("limit", limit, "ohm"), quantity("d", asked.bore_mm, "mm"), quantity("s", conductivity, "uS/cm"))
    says = bench.say("step_length_isolates")
    return Worked((result,), (*working, *before, step(says, "length = limit * s * pi / 4 * d^2", used, result)), judged)


def _limit(asked: WaterLengthInputs, bench: Bench) -> tuple[float, tuple[Step, ...]]:
    if asked.limit_ohm is None:
        limit, working = worked_limit(asked.touch_current or "default", bench)
        return limit, (working,)
    if asked.touch_current is not None:
        raise Contradiction((Fault("/touch_current", "must be left out where `limit_ohm` is given"),))
    return asked.limit_ohm, ()


def _conductivity(asked: WaterInputs, bench: Bench) -> tuple[float, tuple[Step, ...], tuple[Judgement, ...]]:
    """µS/cm of the water in the pipe, with the steps to its temperature, and what is said of one that was not told."""
    held, at_c = _held(asked, bench)
    temperature_c, found, judged = _temperature(asked, bench)
    if temperature_c == at_c:
        return held, found, judged
    if bench.pack.has_table(_GROWTH):
        carried = _carried(held, at_c, temperature_c, bench)
    else:
        carried = _carried_straight(held, at_c, temperature_c, bench)
    return carried[-1].gives.value, (*found, *carried), judged


def _temperature(asked: WaterInputs, bench: Bench) -> tuple[float, tuple[Step, ...], tuple[Judgement, ...]]:
    """°C of the water in the pipe: as told, or the highest in use, with the step to it and the word for that."""
    if asked.temperature_c is not None:
        return asked.temperature_c, (), ()
    if not bench.pack.has_table(_IN_USE):
        return _TABLE_AT_C, (), ()
    water = asked.water or "unknown"
    lowest, highest = (bench.cell(_IN_USE, water, end, place="/water") for end in ("lowest", "highest"))
    gives = quantity("T", highest, "degC")
    used = (quantity("T1", lowest, "degC"), quantity("T2", highest, "degC"))
    rows = tuple(bench.row(_IN_USE, water, end) for end in ("lowest", "highest"))
    says = bench.say("step_temperatures_in_use")
    found = step(says, "T = T2", used, gives, rows)
    words = bench.say("judged_highest_in_use", temperature=f"{highest:g}", input="temperature_c")
    return highest, (found,), (Judgement("temperature", "highest_in_use_taken", words),)


def _carried(held: float, at_c: float, temperature_c: float, bench: Bench) -> tuple[Step, ...]:
    """To the temperature of the water, as the water does for which that comes out highest."""
    most, least = bench.column(_GROWTH, "most"), bench.column(_GROWTH, "least")
    conductivity = greatest_conductivity_at(temperature_c, held, at_c, most, least)
    warmer = temperature_c > at_c
    before, after = (growth_at(one, most if warmer else least) for one in (at_c, temperature_c))
    rows = tuple(row for at in (at_c, temperature_c) for row in bench.around(_GROWTH, "most" if warmer else "least", at=at))
    used = (
        quantity("s0", held, "uS/cm"),
        quantity("T0", at_c, "degC"),
        quantity("r(T0)", before, "of one"),
        quantity("T", temperature_c, "degC"),
        quantity("r(T)", after, "of one"),
    )
    says = bench.say("step_water_warmed" if warmer else "step_water_cooled")
    return (step(says, "s = s0 * r(T) / r(T0)", used, quantity("s", conductivity, "uS/cm"), tuple(dict.fromkeys(rows))),)


def _carried_straight(held: float, at_c: float, temperature_c: float, bench: Bench) -> tuple[Step, ...]:
    """To the temperature of the water along the straight line of older packs, by way of the temperature of the table."""
    coefficient = bench.cell(_OLDER_COEFFICIENT)
    in_table, back = _at_table(held, at_c, coefficient, bench.say)
    conductivity = conductivity_at(temperature_c, in_table, _TABLE_AT_C, coefficient)
    used = (quantity("s20", in_table, "uS/cm"), quantity("a", coefficient, "1/K"), quantity("T", temperature_c, "degC"))
    says, gives = bench.say("step_water_straight"), quantity("s", conductivity, "uS/cm")
    return (*back, step(says, "s = s20 * (1 + a * (T - 20))", used, gives, (bench.row(_OLDER_COEFFICIENT),)))


def _at_table(held: float, at_c: float, coefficient: float, say: Sentences) -> tuple[float, tuple[Step, ...]]:
    """µS/cm at the temperature of the table, of which the coefficient is a share."""
    if at_c == _TABLE_AT_C:
        return held, ()
    in_table = held / conductivity_at(at_c, 1, _TABLE_AT_C, coefficient)
    used = (quantity("s0", held, "uS/cm"), quantity("a", coefficient, "1/K"), quantity("T0", at_c, "degC"))
    return in_table, (step(say("step_water_in_table"), "s20 = s0 / (1 + a * (T0 - 20))", used, quantity("s20", in_table, "uS/cm")),)


def _held(asked: WaterInputs, bench: Bench) -> tuple[float, float]:
    """µS/cm of the water as it was given, and the temperature in °C at which it has that."""
    given = asked.conductivity_us_per_cm
    if asked.water is None:
        if given is None:
            raise Contradiction((missing(asked, "conductivity_us_per_cm", "needed, or else `water` by its name"),))
        return given, _TABLE_AT_C if asked.conductivity_at_c is None else asked.conductivity_at_c
    for name in ("conductivity_us_per_cm", "conductivity_at_c"):
        if getattr(asked, name) is not None:
            raise Contradiction((Fault(f"/{name}", "must be left out where `water` is given"),))
    if asked.water == "drinking_water_limit":
        return bench.value("water_conductivity_greatest"), _TABLE_AT_C
    return bench.cell("water-conductivity", asked.water, place="/water"), _TABLE_AT_C


WATER_COLUMN = Calculation("water-column", WaterColumnInputs, _VALIDITY, _column)
WATER_LENGTH = Calculation("water-length", WaterLengthInputs, _LENGTH_VALIDITY, _length)

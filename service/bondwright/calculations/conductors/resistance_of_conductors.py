"""Resistance of conductors by metal, class and size, how long they may be, and what a bond should read."""

from typing import Annotated, Literal

from pydantic import Field

from bondwright.calculations.answer import Quantity, Step, TableRow
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import Calculation, Worked, quantity, step
from bondwright.calculations.conductors.metals import REFERENCE_C, require_row
from bondwright.calculations.inputs import Inputs, LengthM, Ohm, SizeMm2, TemperatureC
from bondwright.calculations.readings import AS_SHOWN, OhmReading, bound, judged, measured
from bondwright.calculators.conductors import conductor_resistance, conductor_resistance_between, greatest_length
from bondwright.calculators.continuity import judge_continuity
from bondwright.calculators.instruments import true_value_between
from bondwright.calculators.ranges import Range
from bondwright.errors import Contradiction, Fault
from bondwright.facts.conductors import RESISTANCES
from bondwright.installation.meters import shown
from bondwright.installation.shapes import Chosen
from bondwright.installation.words import LeftOut
from bondwright.units import unit_of_field

_KILOMETRE_M = 1000
_WORDS = {
    "lower_than_possible": "continuity_lower_than_possible",
    "as_expected": "continuity_as_expected",
    "higher_than_expected": "continuity_higher_than_expected",
    "higher_than_possible": "continuity_higher_than_possible",
}
_SPREAD, _LAST_DIGIT = "resistance-spread", "continuity_last_digit"
_OF_TABLE, _STRAIGHT = "holds_greatest_of_table", "holds_straight_with_temperature"
_VALIDITY = (_OF_TABLE, _STRAIGHT, "holds_conductor_alone")
_VALIDITY_OF_READING = (_OF_TABLE, _STRAIGHT, "holds_one_end_parted", "holds_shows_a_path")


class ConductorInputs(Inputs):
    """A conductor as it is sold: its metal, class and nominal size."""

    metal: Annotated[str, Chosen(f"{RESISTANCES}/metal")] = Field("copper", description="Its metal.")
    conductor_class: Literal["class_1", "class_2", "class_5"] = Field(
        "class_2", description="How it is made: class 1 solid, class 2 stranded, class 5 flexible."
    )
    size_mm2: SizeMm2 = Field(description="Its nominal cross-section, one of the sizes of the table.", examples=[10])


class ConductorResistanceInputs(ConductorInputs):
    """A conductor, its length and its temperature."""

    length_m: LengthM = Field(description="Its length, one way.", examples=[20])
    temperature_c: TemperatureC = Field(REFERENCE_C, description="Its temperature.")


class GreatestLengthInputs(ConductorInputs):
    """A conductor, its temperature, and the resistance that it may have."""

    resistance_limit_ohm: Ohm = Field(description="The resistance that it may reach.", examples=[0.05])
    temperature_c: TemperatureC = Field(REFERENCE_C, description="Its temperature.")


class ContinuityReadingInputs(ConductorInputs):
    """A bond, between which bounds its length and temperature lie, and the reading if there is one."""

    length_m: LengthM = Field(description="Its length, or the least that it can be.", examples=[15])
    longest_m: LeftOut[LengthM] = Field(None, description="The most that its length can be, where it is not known.")
    lowest_temperature_c: TemperatureC = Field(description="The coldest that it can have been at the reading.", examples=[5])
    highest_temperature_c: TemperatureC = Field(description="The warmest that it can have been at the reading.", examples=[30])
    measured_ohm: LeftOut[OhmReading] = Field(
        None, description=f"What the instrument showed from end to end; left out: what to expect. {AS_SHOWN}"
    )


def _of_table(asked: ConductorInputs, bench: Bench) -> tuple[float, float]:
    """Resistance in ohm/km at the tables' temperature, and its coefficient in 1/K. Raises: Contradiction."""
    require_row(bench, RESISTANCES, "/conductor_class", asked.metal, asked.conductor_class)
    ohm_per_km = bench.cell(RESISTANCES, asked.metal, asked.conductor_class, asked.size_mm2, place="/size_mm2")
    return ohm_per_km, bench.cell("temperature-coefficient", asked.metal, place="/metal")


def _rows(asked: ConductorInputs, bench: Bench) -> tuple[TableRow, ...]:
    """The rows that `_of_table` reads."""
    size = bench.row(RESISTANCES, asked.metal, asked.conductor_class, asked.size_mm2)
    return size, bench.row("temperature-coefficient", asked.metal)


def _warmed(
    ohm_per_km: float, temperature_c: float, coefficient: float, name: str, says: str, rows: tuple[TableRow, ...] = ()
) -> tuple[Quantity, Step]:
    """The resistance of a kilometre at the temperature, and the step that found it and `says` so. `rows`: those that it reads."""
    gives = quantity(name, conductor_resistance(_KILOMETRE_M, ohm_per_km, temperature_c, REFERENCE_C, coefficient), "ohm/km")
    used = (
        quantity("R20", ohm_per_km, "ohm/km"),
        quantity("alpha", coefficient, "1/K"),
        quantity("temperature", temperature_c, "degC"),
    )
    return gives, step(says, f"{name} = R20 (1 + alpha (temperature - {REFERENCE_C}))", used, gives, rows)


def _resistance(asked: ConductorResistanceInputs, bench: Bench) -> Worked:
    ohm_per_km, coefficient = _of_table(asked, bench)
    per_km, first = _warmed(
        ohm_per_km, asked.temperature_c, coefficient, "resistance_per_km", bench.say("step_kilometre"), _rows(asked, bench)
    )
    ohm = conductor_resistance(asked.length_m, ohm_per_km, asked.temperature_c, REFERENCE_C, coefficient)
    result = quantity("resistance", ohm, "ohm")
    used = (per_km, quantity("length", asked.length_m, "m"))
    last = step(bench.say("step_its_length"), f"resistance = resistance_per_km length / {_KILOMETRE_M}", used, result)
    return Worked((result,), (first, last))


def _length(asked: GreatestLengthInputs, bench: Bench) -> Worked:
    ohm_per_km, coefficient = _of_table(asked, bench)
    per_km, first = _warmed(
        ohm_per_km, asked.temperature_c, coefficient, "resistance_per_km", bench.say("step_kilometre"), _rows(asked, bench)
    )
    metres = greatest_length(asked.resistance_limit_ohm, ohm_per_km, asked.temperature_c, REFERENCE_C, coefficient)
    result = quantity("greatest_length", metres, "m")
    used = (quantity("limit", asked.resistance_limit_ohm, "ohm"), per_km)
    last = step(bench.say("step_length_at_limit"), f"greatest_length = {_KILOMETRE_M} limit / resistance_per_km", used, result)
    return Worked((result,), (first, last))


def _reading(asked: ContinuityReadingInputs, bench: Bench) -> Worked:
    expected, worked = _expected(asked, bench)
    if asked.measured_ohm is None:
        return worked
    uncertainty, allowance = bench.value("reading_uncertainty"), bench.value("continuity_allowance")
    reading = shown(asked.measured_ohm)
    lowest, highest = true_value_between(reading.ohm, uncertainty, allowance)
    read_as = measured(reading)
    share, rest = quantity("uncertainty", uncertainty, "of one"), quantity("contact_allowance", allowance, "ohm")
    margin = quantity("instrument_allowance", reading.ohm * uncertainty + allowance, "ohm")
    least, greatest = quantity("least_true_value", lowest, "ohm"), quantity("greatest_true_value", highest, "ohm")
    may_be_off = step(
        bench.say("step_instrument_allowance"),
        f"instrument_allowance = {read_as.name} uncertainty + contact_allowance",
        (read_as, share, rest),
        margin,
    )
    used = (read_as, margin)
    ends = {
        "<": step(
            bench.say("step_least_true"),
            f"least_true_value = {read_as.name} - instrument_allowance",
            used,
            least,
        ),
        ">": step(bench.say("step_greatest_true"), f"greatest_true_value = {read_as.name} + instrument_allowance", used, greatest),
    }
    told = (may_be_off, *(end for beyond, end in ends.items() if beyond != reading.sign))
    up_to = _as_expected_up_to(quantity("greatest_expected", expected[1], "ohm"), bench)
    digit = bench.value(_LAST_DIGIT) if up_to else None
    word = judged(reading, lambda ohm: judge_continuity(ohm, expected, uncertainty, allowance, digit), _WORDS, bench.say)
    results = (*worked.results, *(one.gives for one in up_to), *bound(reading), *(one.gives for one in told))
    return Worked(results, (*worked.working, *up_to, *told), (word,))


def _as_expected_up_to(greatest: Quantity, bench: Bench) -> tuple[Step, ...]:
    """Up to where a reading is as expected; none from packs that tell no last digit, which leave that to what the instrument can tell."""
    if not bench.pack.has_value(_LAST_DIGIT):
        return ()
    digit = quantity("last_digit", bench.value(_LAST_DIGIT), "ohm")
    gives = quantity("as_expected_up_to", greatest.value + digit.value, "ohm")
    return (
        step(
            bench.say("step_as_expected_up_to"),
            f"{gives.name} = {greatest.name} + last_digit",
            (greatest, digit),
            gives,
        ),
    )


def _expected(asked: ContinuityReadingInputs, bench: Bench) -> tuple[Range, Worked]:
    """Least and greatest resistance in ohm of the bond if it is sound."""
    lengths = _rising(asked, "length_m", "longest_m")
    temperatures = _rising(asked, "lowest_temperature_c", "highest_temperature_c")
    greatest_per_km, coefficient = _of_table(asked, bench)
    spread = _spread(asked, bench)
    per_km = (greatest_per_km * (1 - spread), greatest_per_km)
    expected = conductor_resistance_between(lengths, per_km, temperatures, REFERENCE_C, coefficient)
    found: list[Quantity] = []
    working: list[Step] = []
    kilometre = bench.say("step_kilometre")
    for word, length, ohm_per_km, temperature, ohm in zip(("least", "greatest"), lengths, per_km, temperatures, expected, strict=True):
        warm, first = _warmed(ohm_per_km, temperature, coefficient, f"{word}_per_km", kilometre)
        gives = quantity(f"{word}_expected", ohm, "ohm")
        used = (warm, quantity("length", length, "m"))
        working += [
            first,
            step(bench.say(f"step_{word}_expected"), f"{gives.name} = {warm.name} length / {_KILOMETRE_M}", used, gives),
        ]
        found.append(gives)
    table, least = quantity("table_maximum", greatest_per_km, "ohm/km"), quantity("R20", per_km[0], "ohm/km")
    used_below = (table, quantity("spread", spread, "of one"))
    says = bench.say("step_least_made")
    below = step(says, "R20 = table_maximum (1 - spread)", used_below, least, _rows(asked, bench)[:1])
    return expected, Worked(tuple(found), (below, *working))


def _spread(asked: ConductorInputs, bench: Bench) -> float:
    """The share by which a sound conductor may lie below the table: that of its class, or one for all in packs that tell no other."""
    by_class = bench.pack.has_table(_SPREAD) and bool(bench.pack.table(_SPREAD).by)
    return bench.cell(_SPREAD, asked.conductor_class, place="/conductor_class") if by_class else bench.cell(_SPREAD)


def _rising(asked: ContinuityReadingInputs, lower: str, upper: str) -> Range:
    """Both bounds; the lower one twice where the upper one is left out. Raises: Contradiction, where they fall."""
    lowest: float = getattr(asked, lower)
    highest: float | None = getattr(asked, upper)
    if highest is not None and highest < lowest:
        raise Contradiction((Fault(f"/{upper}", f"must be at least /{lower}, which is {lowest:g} {unit_of_field(lower)}"),))
    return lowest, lowest if highest is None else highest


CONDUCTOR_RESISTANCE = Calculation("conductor-resistance", ConductorResistanceInputs, _VALIDITY, _resistance)
GREATEST_LENGTH = Calculation("greatest-length", GreatestLengthInputs, _VALIDITY, _length)
CONTINUITY_READING = Calculation("continuity-reading", ContinuityReadingInputs, _VALIDITY_OF_READING, _reading)

"""Readings as calculations take and judge them."""

from collections.abc import Callable, Mapping
from typing import TypeAlias

from bondwright.calculations.answer import Judgement, Quantity
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import quantity
from bondwright.calculations.inputs import Ohm
from bondwright.calculators.instruments import true_value_between
from bondwright.installation.meters import Shown, Sign
from bondwright.installation.words import ReadingText
from bondwright.rulebook.held import Sentences

OhmReading: TypeAlias = Ohm | ReadingText
"""A number of ohm, or what the instrument showed, with its sign and unit."""
AS_SHOWN = "As a number, or as shown, such as `>999 MΩ`."
"""Ends the description of a reading."""

UNDECIDED = "bound_decides_nothing"
"""The word for a reading beyond the range of the instrument that could be on either side."""

_BELOW = {
    "at_or_below": "reading_at_or_below",
    "within_uncertainty": "reading_within_uncertainty",
    "above": "reading_above",
}
_FAR_UP = 1e300
"""More ohm than any reading, and few enough to reckon with."""
_NAMES: Mapping[Sign, str] = {"=": "measured", "<": "measured_less_than", ">": "measured_more_than"}
_DECIDED: Mapping[Sign, str] = {"<": "reading_less_than", ">": "reading_more_than"}
_UNDECIDED: Mapping[Sign, str] = {"<": "reading_less_than_undecided", ">": "reading_more_than_undecided"}


def measured(reading: Shown) -> Quantity:
    """The reading as the working shows it: a bound is named as one."""
    return quantity(_NAMES[reading.sign], reading.ohm, "ohm")


def bound(reading: Shown) -> tuple[Quantity, ...]:
    """The bound that the reading is, for the results; none where it is a number."""
    return () if reading.sign == "=" else (measured(reading),)


def judged(reading: Shown, judge: Callable[[float], str], words: Mapping[str, str], say: Sentences) -> Judgement:
    """How a reading stands; one beyond the range of the instrument only as every number there does.

    `judge`: the word for a number of ohm, which changes in one direction as the number rises; `words`: the code of the sentence of each.
    """
    word = judge(reading.ohm)
    if reading.sign == "=":
        return Judgement("reading", word, say(words[word]))
    ohm = f"{reading.ohm:.10g}"
    if word == judge(0.0 if reading.sign == "<" else _FAR_UP):
        return Judgement("reading", word, say(_DECIDED[reading.sign], resistance=ohm, words=say(words[word])))
    return Judgement("reading", UNDECIDED, say(_UNDECIDED[reading.sign], resistance=ohm))


def judged_below(reading: Shown, limit_ohm: float, bench: Bench) -> Judgement:
    """How a reading stands to a limit that it may not exceed, as far as the instrument can be trusted."""
    uncertainty = bench.value("reading_uncertainty")

    def judge(ohm: float) -> str:
        lowest, highest = true_value_between(ohm, uncertainty, 0)
        return "at_or_below" if highest <= limit_ohm else "above" if lowest > limit_ohm else "within_uncertainty"

    return judged(reading, judge, _BELOW, bench.say)

"""When a reading shows that metalwork is isolated enough."""

from typing import Literal, TypeAlias, get_args

from pydantic import Field

from bondwright.calculations.answer import Step
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import Calculation, Worked, at_least, quantity, step
from bondwright.calculations.inputs import Inputs
from bondwright.calculations.readings import AS_SHOWN, OhmReading, bound, judged
from bondwright.calculators.isolation import isolation_limit, judge_isolation
from bondwright.installation.meters import shown

NamedTouchCurrent: TypeAlias = Literal["perception", "five", "let_go", "rcd"]
"""The touch currents of the table, by their names in it."""
TouchCurrent: TypeAlias = Literal["default", "perception", "five", "let_go", "rcd"]
"""What a designer may choose: that of the rule pack, or one of the table."""
TOUCH_CURRENTS: tuple[NamedTouchCurrent, ...] = get_args(NamedTouchCurrent)
"""Every name in the table, the least current first."""
TOUCH_CURRENT_WORDS = (
    "The touch current from which the limit follows: that of perception, of letting go, of a residual current device, or five, "
    "which some engineers take; default is the one by which the rule pack decides."
)

_MA_PER_A = 1000
_WORDS = {
    "at_or_above": "reading_at_or_above",
    "within_uncertainty": "reading_within_uncertainty",
    "below": "reading_below",
}
_VALIDITY = ("holds_designers_choice", "holds_lower_asks_more", "holds_evaluations_by_default")
_READING_VALIDITY = (*_VALIDITY, "holds_to_proven_earth", "holds_low_proves_nothing")


class IsolationLimitInputs(Inputs):
    """The limit at and above which metalwork is not extraneous, for a chosen touch current."""

    touch_current: TouchCurrent = Field("default", description=TOUCH_CURRENT_WORDS)


class IsolationReadingInputs(IsolationLimitInputs):
    """A measured resistance and the limit that it is judged against."""

    measured_ohm: OhmReading = Field(
        description=f"What the instrument showed between the part and the earth of the installation. {AS_SHOWN}",
        examples=[150000, ">999 MΩ"],
    )


def named_touch_current(name: NamedTouchCurrent, bench: Bench) -> float:
    """A touch current of the table, in ampere. Raises: Contradiction, if the pack has no such table or row."""
    return bench.cell("touch-current", name, place="/touch_current") / _MA_PER_A


def worked_limit(touch_current: TouchCurrent, bench: Bench) -> tuple[float, Step]:
    """The isolation limit in ohm, and the step that gives it.

    Raises: Contradiction, if the pack has no such current.
    """
    voltage, body = bench.value("nominal_voltage"), bench.value("body_resistance")
    current = bench.value("touch_current_default") if touch_current == "default" else named_touch_current(touch_current, bench)
    limit = isolation_limit(voltage, current, body)
    used = (quantity("U0", voltage, "V"), quantity("Ib", current, "A"), quantity("Zt", body, "ohm"))
    says = bench.say("step_isolation_limit")
    return limit, step(says, "limit = U0 / Ib - Zt", used, at_least("limit", limit, "ohm"))


def _limit(asked: IsolationLimitInputs, bench: Bench) -> Worked:
    _, working = worked_limit(asked.touch_current, bench)
    return Worked((working.gives,), (working,))


def _reading(asked: IsolationReadingInputs, bench: Bench) -> Worked:
    limit, working = worked_limit(asked.touch_current, bench)
    reading, uncertainty = shown(asked.measured_ohm), bench.value("reading_uncertainty")
    word = judged(reading, lambda ohm: judge_isolation(ohm, limit, uncertainty, 0), _WORDS, bench.say)
    return Worked((working.gives, *bound(reading)), (working,), (word,))


ISOLATION_LIMIT = Calculation("isolation-limit", IsolationLimitInputs, _VALIDITY, _limit)
ISOLATION_READING = Calculation("isolation-reading", IsolationReadingInputs, _READING_VALIDITY, _reading)

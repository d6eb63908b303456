"""The current that a touch voltage drives through a person, as context and never as a promise."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias, get_args

from pydantic import Field

from bondwright.calculations.answer import Judgement, Quantity, Step
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import Calculation, Worked, quantity, step
from bondwright.calculations.inputs import Inputs, Ohm, VoltageV
from bondwright.calculations.touch.isolation import TOUCH_CURRENTS, named_touch_current
from bondwright.calculators.body import body_current, body_impedance, longest_time
from bondwright.calculators.effectiveness import resistance_limit
from bondwright.installation.words import LeftOut

Path: TypeAlias = Literal[
    "hand_to_hand",
    "hand_to_foot",
    "hand_to_both_feet",
    "both_hands_to_foot",
    "both_hands_to_both_feet",
    "hand_to_trunk",
    "both_hands_to_trunk",
]
"""The way that the current takes through the body."""

Edition: TypeAlias = Literal["iec_479_1_1994", "iec_60479_1_2005"]
"""The table of impedances, by the edition that has it; the earliest first."""
_EDITIONS: tuple[Edition, ...] = get_args(Edition)
_EDITION_WORDS: dict[Edition, str] = {"iec_479_1_1994": "the edition of 1994", "iec_60479_1_2005": "the edition of 2005"}

_TABLE = "body-impedance"
_SHARES: dict[str, int] = {"p5": 5, "p50": 50, "p95": 95}
_VALIDITY = (
    "All of this is context for whoever must choose a limit, and no promise of safety to anybody.",
    "Bodies differ, and with wet skin impedance falls by up to a half; the table is of large dry contacts.",
    "The share of people is that whose impedance is no higher than the one given: a low share gives the higher current.",
    "Impedance is looked up at the whole voltage, so that with much in series the current given is too high rather than too low.",
    "Between the voltages of the table a straight line is drawn, which over its widest gaps makes the current up to a quarter too low.",
    "A disconnection time is what a final circuit at the nominal voltage must keep; it does not follow from this current.",
    "Keeping that time makes no current safe.",
    "The editions differ, and neither table was read in the original; where none is given, the one with the greater current is taken.",
    "By the later edition a body has 10 to 30 % less from hand to foot than from hand to hand; here both are taken alike.",
)


class BodyCurrentInputs(Inputs):
    """A touch voltage, the way through the body, and what stands in series with it."""

    touch_voltage_v: VoltageV = Field(description="The touch voltage.", examples=[50])
    percentile: Literal["p5", "p50", "p95"] = Field("p5", description="Share of people whose impedance is no higher: 5, 50 or 95 per cent.")
    path: Path = Field("hand_to_hand", description="The way that the current takes through the body.")
    edition: LeftOut[Edition] = Field(
        None, description="The edition whose table of impedances is used; left out, the one that gives the greater current."
    )
    series_ohm: Ohm = Field(0.0, description="What stands in series: shoes, floor, or a column of water.")
    system: LeftOut[Literal["tn", "tt"]] = Field(
        None, description="System of the supply, to see beside it the longest disconnection time of a final circuit."
    )


@dataclass(frozen=True, slots=True)
class _Driven:
    """The current by the table of one edition, and the steps to it: impedance of the table, current, whole impedance."""

    current_a: float
    steps: tuple[Step, ...]


def _worked(asked: BodyCurrentInputs, bench: Bench) -> Worked:
    tables = bench.pack.table(_TABLE) if bench.pack.has_table(_TABLE) else None
    held = tables.choices["edition"] if tables else ()
    editions = (asked.edition,) if asked.edition else tuple(one for one in _EDITIONS if one in held) or _EDITIONS
    driven = {edition: _driven(asked, edition, bench) for edition in editions}
    taken = max(editions, key=lambda edition: driven[edition].current_a)
    beside = [
        replace(one, gives=replace(one.gives, name=f"{one.gives.name}_{edition}"))
        for edition in editions
        if edition != taken
        for one in driven[edition].steps[:2]
    ]
    steps = driven[taken].steps
    impedance, current, whole = (one.gives for one in steps)
    judged = _edition(asked, taken, {edition: one.current_a for edition, one in driven.items()})
    results = (impedance, whole, current, *_time(asked, bench))
    return Worked(results, (*beside, *steps), (judged, *_compared(driven[taken].current_a, bench)))


def _driven(asked: BodyCurrentInputs, edition: Edition, bench: Bench) -> _Driven:
    voltage, share = asked.touch_voltage_v, _SHARES[asked.percentile]
    table = {one: {share: ohm} for one, ohm in bench.column(_TABLE, edition, asked.percentile).items()}
    factor = bench.cell("body-path-factor", asked.path, place="/path")
    impedance = quantity("table_impedance", body_impedance(voltage, share, table), "ohm")
    amperes = body_current(voltage, share, table, factor, asked.series_ohm)
    current, touch = quantity("current", amperes, "A"), quantity("U", voltage, "V")
    whole = quantity("whole_impedance", resistance_limit(voltage, amperes), "ohm")
    used = (touch, impedance, quantity("f", factor, "of one"), quantity("Rs", asked.series_ohm, "ohm"))
    by = f"by {_EDITION_WORDS[edition]}"
    steps = (
        step(
            f"Impedance of the path {by}, by a straight line between its voltages",
            "table_impedance = table(U)",
            (touch,),
            impedance,
            bench.around(_TABLE, edition, asked.percentile, at=voltage),
        ),
        step(f"Current {by} through the path taken, with what stands in series", "current = U / (f * table_impedance + Rs)", used, current),
        step("What stands in its way altogether", "whole_impedance = U / current", (touch, current), whole),
    )
    return _Driven(amperes, steps)


def _edition(asked: BodyCurrentInputs, taken: Edition, currents: Mapping[Edition, float]) -> Judgement:
    """Whose table was taken, and why."""
    if asked.edition:
        return Judgement("edition", taken, f"{_EDITION_WORDS[taken]} was asked for")
    told = " and ".join(f"{amperes * 1000:.3g} mA by {_EDITION_WORDS[edition]}" for edition, amperes in currents.items())
    if len(set(currents.values())) == 1 and len(currents) > 1:
        return Judgement("edition", taken, f"no edition was given, and it makes no difference: {told}")
    return Judgement("edition", taken, f"no edition was given, so the greater current was taken: {told}")


def _compared(amperes: float, bench: Bench) -> list[Judgement]:
    """How the current stands to each touch current of the table."""
    found = []
    for name in TOUCH_CURRENTS:
        limit = named_touch_current(name, bench)
        word = "exceeded" if amperes > limit else "not_exceeded"
        words = f"{'above' if amperes > limit else 'not above'} {limit:g} A; context, and no promise of safety"
        found.append(Judgement(f"touch_current_{name}", word, words))
    return found


def _time(asked: BodyCurrentInputs, bench: Bench) -> tuple[Quantity, ...]:
    """The longest disconnection time of a final circuit at the nominal voltage, if the system is given."""
    if asked.system is None:
        return ()
    times = bench.column("disconnection-time", asked.system, "ac")
    return (quantity("longest_disconnection_time", longest_time(bench.value("nominal_voltage"), times), "s"),)


BODY_CURRENT = Calculation("body-current", "Current that a touch voltage drives through a body", BodyCurrentInputs, _VALIDITY, _worked)

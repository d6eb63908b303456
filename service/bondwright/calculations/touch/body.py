"""The current that a touch voltage drives through a person, as context and never as a promise."""

from collections.abc import Mapping
from typing import Literal, TypeAlias, get_args

from msgspec import Struct
from pydantic import Field

from bondwright.calculations.answer import Judgement, Quantity, Step
from bondwright.calculations.bench import Bench
from bondwright.calculations.calculation import Calculation, Worked, both, quantity, step
from bondwright.calculations.inputs import Inputs, Ohm, VoltageV
from bondwright.calculations.touch.isolation import TOUCH_CURRENTS, named_touch_current
from bondwright.calculators.body import body_current, body_impedance, longest_time
from bondwright.calculators.effectiveness import resistance_limit
from bondwright.installation.words import LeftOut
from bondwright.members import replace
from bondwright.rulebook.held import Sentences

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
_EDITION_WORDS: dict[Edition, str] = {"iec_479_1_1994": "edition_iec_479_1_1994", "iec_60479_1_2005": "edition_iec_60479_1_2005"}
"""The sentence that names each edition, by its code."""

_TABLE = "body-impedance"
_SHARES: dict[str, int] = {"p5": 5, "p50": 50, "p95": 95}
_VALIDITY = (
    "holds_context",
    "holds_bodies_differ",
    "holds_share_of_people",
    "holds_whole_voltage",
    "holds_straight_between",
    "holds_time_of_circuit",
    "holds_no_current_safe",
    "holds_editions_differ",
    "holds_hand_to_foot",
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


class _Driven(Struct, frozen=True):
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
    judged = _edition(asked, taken, {edition: one.current_a for edition, one in driven.items()}, bench.say)
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
    named = bench.say(_EDITION_WORDS[edition])
    steps = (
        step(
            bench.say("step_impedance", edition=named),
            "table_impedance = table(U)",
            (touch,),
            impedance,
            bench.around(_TABLE, edition, asked.percentile, at=voltage),
        ),
        step(bench.say("step_body_current", edition=named), "current = U / (f * table_impedance + Rs)", used, current),
        step(bench.say("step_whole_impedance"), "whole_impedance = U / current", (touch, current), whole),
    )
    return _Driven(amperes, steps)


def _edition(asked: BodyCurrentInputs, taken: Edition, currents: Mapping[Edition, float], say: Sentences) -> Judgement:
    """Whose table was taken, and why."""
    if asked.edition:
        return Judgement("edition", taken, say("judged_edition_asked", edition=say(_EDITION_WORDS[taken])))
    each = (
        say("current_by_edition", current=f"{amperes * 1000:.3g}", edition=say(_EDITION_WORDS[edition]))
        for edition, amperes in currents.items()
    )
    alike = len(set(currents.values())) == 1 and len(currents) > 1
    return Judgement("edition", taken, say("judged_either_edition" if alike else "judged_greater_of_editions", told=both(each, say)))


def _compared(amperes: float, bench: Bench) -> list[Judgement]:
    """How the current stands to each touch current of the table."""
    found = []
    for name in TOUCH_CURRENTS:
        limit = named_touch_current(name, bench)
        above = amperes > limit
        word = "exceeded" if above else "not_exceeded"
        words = bench.say("judged_touch_above" if above else "judged_touch_not_above", limit=f"{limit:g}")
        found.append(Judgement(f"touch_current_{name}", word, words))
    return found


def _time(asked: BodyCurrentInputs, bench: Bench) -> tuple[Quantity, ...]:
    """The longest disconnection time of a final circuit at the nominal voltage, if the system is given."""
    if asked.system is None:
        return ()
    times = bench.column("disconnection-time", asked.system, "ac")
    return (quantity("longest_disconnection_time", longest_time(bench.value("nominal_voltage"), times), "s"),)


BODY_CURRENT = Calculation("body-current", BodyCurrentInputs, _VALIDITY, _worked)

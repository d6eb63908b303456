"""What a reading says: its number as far as the instrument can be trusted, and what it proves."""

from msgspec import Struct

from bondwright.calculators.instruments import true_value_between
from bondwright.calculators.isolation import isolation_limit
from bondwright.installation.description import Installation
from bondwright.installation.meters import shown
from bondwright.installation.proof import Measurement
from bondwright.rulebook.facts import Between, FactValue
from bondwright.rulebook.pack import RulePack

_HIGHEST_FACT = "isolation_reading"
_TOUCH_CURRENTS = ("touch_current_default", "touch_current_raised")


class Limits(Struct, frozen=True):
    """Resistances in ohm at and above which a touch current is not exceeded.

    `decides`: the one that decides, or from the raised to the default one while it is open which. `default`, `raised`: of
    those currents.
    """

    decides: Between
    default: float
    raised: float


def limits(installation: Installation, pack: RulePack) -> Limits:
    """The limits for this installation.

    The raised current decides only where the designer chose it, recorded why, and only rooms are described in which the pack lets it;
    whether the reason is recorded may be open.
    """
    default, raised = pack.derived("isolation limits", lambda: [_isolation_limit(name, pack) for name in _TOUCH_CURRENTS])
    everywhere = all(
        pack.kind("location", location.kind).word("raised_touch_current", "no") == "yes" for location in installation.locations
    )
    may_be_raised = installation.touch_current == "30_mA" and installation.touch_current_reason != "no" and everywhere
    lowest = raised if may_be_raised else default
    highest = raised if may_be_raised and installation.touch_current_reason == "yes" else default
    return Limits(Between(lowest, highest), default, raised)


def _isolation_limit(touch_current: str, pack: RulePack) -> float:
    return isolation_limit(pack.number("nominal_voltage"), pack.number(touch_current), pack.number("body_resistance"))


def resistance_between(reading: str, pack: RulePack) -> Between | None:
    """The true resistance in ohm behind a reading such as `>999 MΩ`, with the instrument's uncertainty; none if unknown."""
    if reading == "unknown":
        return None
    taken = shown(reading)
    least, most = true_value_between(taken.ohm, pack.number("reading_uncertainty"), 0)
    top = pack.fact(_HIGHEST_FACT).highest
    return Between(0.0 if taken.sign == "<" else min(least, top), top if taken.sign == ">" else min(most, top))


def shown_resistance(reading: str, top: float) -> Between | None:
    """The resistance in ohm as the instrument shows it, without its uncertainty, up to `top`; none if unknown."""
    if reading == "unknown":
        return None
    taken = shown(reading)
    value = min(taken.ohm, top)
    return Between(0.0 if taken.sign == "<" else value, top if taken.sign == ">" else value)


def reading_facts(taken: Measurement, pack: RulePack) -> dict[str, FactValue]:
    """The facts that one reading gives, of itself and of the part that it was taken on."""
    value = resistance_between(taken.reading, pack)
    facts: dict[str, FactValue] = {
        "reading_reference": taken.to,
        "reading_own_bond": taken.own_bond,
        "reading_protective_conductors": taken.protective_conductors,
        "reading_pipe_filled": taken.pipe_filled,
        "reading_surroundings_wet": taken.surroundings_wet,
    }
    return facts if value is None else {**facts, _HIGHEST_FACT: value}


def proves_a_path(taken: Measurement, limit: float, pack: RulePack) -> bool:
    """Whether a reading shows a path to earth: surely below the limit, with own bond and protective conductors out of the way."""
    value = resistance_between(taken.reading, pack)
    return (
        value is not None
        and value.highest < limit
        and pack.cell("paths_during_reading", taken.own_bond, "parted") == "yes"
        and pack.cell("paths_during_reading", taken.protective_conductors, "parted") == "yes"
        and pack.cell("references", taken.to, "proven") == "yes"
    )

"""The row of each further earthing: what ties it, what it rests on, whether that is shown to work, and what on it needs PME kept away."""

from collections.abc import Iterator, Mapping

from bondwright.facts.asking import ask_field
from bondwright.facts.earth import about_pme_earth, pme_earth
from bondwright.facts.earthings.described import FurtherEarthing, further_earthings, voltage_within
from bondwright.facts.row import Asked, Row, row_of
from bondwright.installation.description import Installation
from bondwright.installation.rooms import Location
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either, known
from bondwright.rulebook.facts import UNKNOWN, FactValue
from bondwright.rulebook.pack import RulePack

EARTHING = "earthing"
_TIED, _CARRY, _REACH, _RESTS = "earthing_tied", "earthing_ties_carry", "earthing_reaches_other", "earthing_rests_on"
_SHOWN, _VOLTAGE = "earthing_shown", "earthing_voltage"
_PME, _KEEPS_AWAY = "earthing_supply_pme", "earthing_keeps_pme_away"
_FIELDS: Mapping[str, tuple[str, ...]] = {
    _REACH: ("touchable_with_other",),
    _RESTS: ("rests_on",),
    _SHOWN: ("electrode_resistance", "rcd_rating_ma", "rcd_tested"),
    _VOLTAGE: ("electrode_resistance", "rcd_rating_ma"),
}
_LOCATION_KINDS, _COLUMN = "room_kinds", "keeps_pme_away"


def earthing_rows(installation: Installation, pack: RulePack) -> tuple[Row, ...]:
    """A row for each of them, in the order of the description; each by its id."""
    return tuple(_row(further, installation, pack) for further in further_earthings(installation).values())


def _row(further: FurtherEarthing, installation: Installation, pack: RulePack) -> Row:
    facts: dict[str, FactValue] = {
        _TIED: further.tied,
        _CARRY: further.ties_carry,
        _REACH: known(further.described.touchable_with_other),
        _RESTS: further.described.rests_on,
        _SHOWN: further.shown,
        _PME: pme_earth(installation.supply, pack),
        _KEEPS_AWAY: keeps_pme_away(further, installation, pack),
    }
    if _VOLTAGE in pack.facts:
        facts[_VOLTAGE] = voltage_within(further, pack.facts[_VOLTAGE], pack)
    questions = {
        **{fact: tuple(further.asked(fields, fact, pack)) for fact, fields in _FIELDS.items()},
        _TIED: tuple(further.asked_of_ties(_TIED, False, pack)),
        _CARRY: tuple(further.asked_of_ties(_CARRY, True, pack)),
        _PME: about_pme_earth(installation.supply, pack, _PME),
        _KEEPS_AWAY: tuple(_about_what_is_on_it(further, installation, pack)),
    }
    return row_of(pack, EARTHING, further.described.id, further.pointer, facts, questions)


def keeps_pme_away(further: FurtherEarthing, installation: Installation, pack: RulePack) -> Known:
    """Whether something on it needs the earth of a supply with PME conditions kept away: a location of a kind of which the pack says so.

    A location that does not say which earthing it is on may be on it; so may be what is not described, until all that is on it is named.
    """
    found = either(*(both(_on(further, location), _kind_keeps_away(location, pack)) for location in installation.locations))
    return either(found, "no" if further.described.all_named == "yes" else "unknown")


def _on(further: FurtherEarthing, location: Location) -> Known:
    """Whether a location, or a circuit of it, is on an earthing; the location speaks for its circuits where it names one."""
    if location.earthing != UNKNOWN or isinstance(location.circuits, str):
        named = {location.earthing}
    else:
        named = {circuit.earthing for circuit in location.circuits} or {UNKNOWN}
    return "yes" if further.described.id in named else "unknown" if UNKNOWN in named else "no"


def _kind_keeps_away(location: Location, pack: RulePack) -> Known:
    """What the row of its kind says; a kind without a row may need it, a row that says nothing does not."""
    if location.kind not in pack.rows(_LOCATION_KINDS):
        return "unknown"
    told = pack.told(_LOCATION_KINDS, location.kind, _COLUMN)
    return known(told) if told in ("yes", "unknown") else "no"


def _about_what_is_on_it(further: FurtherEarthing, installation: Installation, pack: RulePack) -> Iterator[Asked]:
    for index, location in enumerate(installation.locations):
        here = f"/locations/{index}"
        needs = _kind_keeps_away(location, pack)
        if needs != "no" and _on(further, location) == UNKNOWN:
            yield from ask_field(_KEEPS_AWAY, f"{here}/earthing", location.earthing, pack)
        if needs == UNKNOWN and _on(further, location) != "no":
            yield from ask_field(_KEEPS_AWAY, f"{here}/kind", location.kind, pack)
    yield from further.asked(("all_named",), _KEEPS_AWAY, pack)

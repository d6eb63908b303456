"""The earth at a location: whose it is, what is tied to it, what can be touched together with it, and whether its electrode works."""

from collections.abc import Callable, Iterator, Mapping, Sequence

from msgspec import Struct

from bondwright.facts.asking import ask_field
from bondwright.facts.earth import about_pme_earth, pme_earth
from bondwright.facts.earthings.described import FurtherEarthing, further_earthings, voltage_within
from bondwright.facts.row import Asked
from bondwright.installation.description import Installation
from bondwright.installation.earthings import SUPPLY
from bondwright.installation.rooms import Location
from bondwright.metalwork.earthings import named_by
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either, known
from bondwright.rulebook.declared.places import OF_EARTHING
from bondwright.rulebook.facts import UNKNOWN, FactDefinition, FactValue
from bondwright.rulebook.pack import RulePack


class EarthAtPlaces(Struct, frozen=True):
    """What locations take from the earthings of an installation.

    A location that does not say which one it is on may be on any, described or not.
    """

    installation: Installation
    pack: RulePack

    def fact(self, name: str, location: Location, fact: FactDefinition) -> FactValue:
        """What is known of a location by a name of OF_EARTHING."""
        on = named_by(location)
        further = self._further.get(on)
        if name == _VOLTAGE:
            return voltage_within(further, fact, self.pack)
        return _WORDS[name](self, on, further)

    def asked(self, name: str, location: Location, pointer: str, ask: str) -> Iterator[Asked]:
        """What would tell it: which earthing the location is on, else what is open of that one; asked for the fact `ask`."""
        on = named_by(location)
        if name == _PHASES:
            yield from ask_field(ask, "/supply/phases", self.installation.supply.phases, self.pack)
            return
        if on == UNKNOWN:
            yield from ask_field(ask, f"{pointer}/earthing", UNKNOWN, self.pack)
        if name == _PME and self._reaches_supply(on) != "no":
            yield from about_pme_earth(self.installation.supply, self.pack, ask)
        for further in self._concerned(on):
            if name in (_PME, _JOINED, _CARRY):
                yield from further.asked_of_ties(ask, name == _CARRY, self.pack)
            yield from further.asked(_FIELDS.get(name, ()), ask, self.pack)

    @property
    def _further(self) -> Mapping[str, FurtherEarthing]:
        return further_earthings(self.installation)

    def _concerned(self, on: str) -> Sequence[FurtherEarthing]:
        """The further earthings that decide what is so at a place: the one that it is on, or all of them at one on the supply's."""
        further = self._further
        return tuple(further.values()) if on == SUPPLY else (further[on],) if on in further else ()

    def _reaches_supply(self, on: str) -> Known:
        """Whether the earth of the supply is brought to a place on that earthing."""
        further = self._further.get(on)
        return "yes" if on == SUPPLY else "unknown" if further is None else further.tied

    def _earth(self, on: str, further: FurtherEarthing | None) -> str:
        return further.described.rests_on if further else on

    def _pme(self, on: str, _: FurtherEarthing | None) -> Known:
        return both(self._reaches_supply(on), pme_earth(self.installation.supply, self.pack))

    def _joined(self, on: str, _: FurtherEarthing | None) -> Known:
        return "unknown" if on == UNKNOWN else either(*(one.tied for one in self._concerned(on)))

    def _carry(self, on: str, _: FurtherEarthing | None) -> Known:
        return "unknown" if on == UNKNOWN else both("yes", *(one.ties_carry for one in self._concerned(on)))

    def _reach(self, on: str, _: FurtherEarthing | None) -> Known:
        return "unknown" if on == UNKNOWN else either(*(known(one.described.touchable_with_other) for one in self._concerned(on)))

    def _shown(self, _: str, further: FurtherEarthing | None) -> Known:
        return further.shown if further else "unknown"

    def _phases(self, _: str, __: FurtherEarthing | None) -> str:
        return self.installation.supply.phases


_EARTH, _PME, _JOINED, _CARRY, _REACH, _SHOWN, _VOLTAGE, _PHASES = OF_EARTHING
_Found = Callable[[EarthAtPlaces, str, FurtherEarthing | None], str]
_WORDS: Mapping[str, _Found] = {
    _EARTH: EarthAtPlaces._earth,
    _PME: EarthAtPlaces._pme,
    _JOINED: EarthAtPlaces._joined,
    _CARRY: EarthAtPlaces._carry,
    _REACH: EarthAtPlaces._reach,
    _SHOWN: EarthAtPlaces._shown,
    _PHASES: EarthAtPlaces._phases,
}
_FIELDS: Mapping[str, tuple[str, ...]] = {
    _EARTH: ("rests_on",),
    _REACH: ("touchable_with_other",),
    _SHOWN: ("electrode_resistance", "rcd_rating_ma", "rcd_tested"),
    _VOLTAGE: ("electrode_resistance", "rcd_rating_ma"),
}

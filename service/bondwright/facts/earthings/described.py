"""A further earthing as described: is it tied to that of the supply, can its ties carry the current, is its electrode shown to work."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from bondwright.errors import Contradiction, Fault
from bondwright.facts.asking import ask_field
from bondwright.facts.parts.readings import resistance_between
from bondwright.facts.row import Asked
from bondwright.installation.description import Installation
from bondwright.installation.earthings import MORE_THAN_ONE, SUPPLY, Earthing
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either, known, opposite
from bondwright.metalwork.survey import described_items, described_services
from bondwright.rulebook.facts import UNKNOWN, Between, FactDefinition, FactValue
from bondwright.rulebook.pack import RulePack

_MA_IN_AN_AMPERE = 1000
_CABLES = ("protective_conductor", "armour")


class FurtherEarthing(Struct, frozen=True):
    """An earthing besides that of the supply, and where it stands in the description."""

    described: Earthing
    pointer: str

    @property
    def tied(self) -> Known:
        """Whether something joins it to the earthing of the supply."""
        ties = self.described.ties
        return "unknown" if isinstance(ties, str) else either(*(opposite(known(tie.parted)) for tie in ties))

    @property
    def may_be_tied_by_pipes(self) -> bool:
        """Whether something that is no cable may join it to the earthing of the supply; not, where all that does is told and is none."""
        ties = self.described.ties
        return isinstance(ties, str) or any(tie.parted != "yes" and tie.kind not in _CABLES for tie in ties)

    @property
    def ties_carry(self) -> Known:
        """Whether all that joins the two is shown to carry the current of both; where nothing does, nothing is wanting."""
        ties = self.described.ties
        if isinstance(ties, str):
            return "unknown"
        return both("yes", *(either(known(tie.parted), known(tie.carries_fault_current)) for tie in ties))

    @property
    def shown(self) -> Known:
        """Whether its electrode was measured, and the device that relies on it tested."""
        measured: Known = "unknown" if self.described.electrode_resistance == UNKNOWN else "yes"
        rated: Known = "unknown" if isinstance(self.described.rcd_rating_ma, str) else "yes"
        return both(measured, rated, known(self.described.rcd_tested))

    def voltage(self, pack: RulePack) -> Between | None:
        """Voltage in V of what is on it at the rated residual operating current of its device; none if not known."""
        resistance, rating = resistance_between(self.described.electrode_resistance, pack), self.described.rcd_rating_ma
        if resistance is None or isinstance(rating, str):
            return None
        current = rating / _MA_IN_AN_AMPERE
        return Between(resistance.lowest * current, resistance.highest * current)

    def asked(self, fields: Iterable[str], ask: str, pack: RulePack) -> Iterator[Asked]:
        """The questions at those of its fields that say nothing, asked for the fact `ask`."""
        for field in fields:
            yield from ask_field(ask, f"{self.pointer}/{field}", getattr(self.described, field), pack)

    def asked_of_ties(self, ask: str, carrying: bool, pack: RulePack) -> Iterator[Asked]:
        """The questions about what ties it: is that parted, and where `carrying`, can it carry the current of both."""
        yield from self.asked(("ties",), ask, pack)
        for index, tie in enumerate(() if isinstance(self.described.ties, str) else self.described.ties):
            at = f"{self.pointer}/ties/{index}"
            yield from ask_field(ask, f"{at}/parted", tie.parted, pack)
            if carrying and tie.parted != "yes":
                yield from ask_field(ask, f"{at}/carries_fault_current", tie.carries_fault_current, pack)


def further_earthings(installation: Installation) -> Mapping[str, FurtherEarthing]:
    """The further earthings of an installation, by id."""
    return {one.id: FurtherEarthing(one, f"/earthings/{index}") for index, one in enumerate(installation.earthings)}


def voltage_within(further: FurtherEarthing | None, fact: FactDefinition, pack: RulePack) -> FactValue:
    """The voltage of what is on an earthing, within what the fact can be; unknown where nobody told what it takes."""
    found = further.voltage(pack) if further else None
    return fact.unknown() if found is None else Between(min(found.lowest, fact.highest), min(found.highest, fact.highest))


def refuse_wrong_names(installation: Installation) -> None:
    """Nothing, if each earthing has a name of its own, and whatever is on one names one that is described; only metal is on two.

    Raises: Contradiction, with the places and the way out.
    """
    faults = [*_twice(installation.earthings)]
    there = {SUPPLY, UNKNOWN, *(one.id for one in installation.earthings)}
    metalwork = [(pointer, named) for pointer, named in _metalwork(installation) if named not in there or named == MORE_THAN_ONE]
    faults += [_not_there(f"{pointer}/earthing") for pointer, named in metalwork if named != MORE_THAN_ONE]
    if metalwork and (way_out := _no_metal_between(tuple(further_earthings(installation).values()))):
        faults += [Fault(f"{pointer}/earthing", way_out) for pointer, named in metalwork if named == MORE_THAN_ONE]
    for index, location in enumerate(installation.locations):
        circuits = () if isinstance(location.circuits, str) else location.circuits
        here = f"/locations/{index}"
        named = [
            (f"{here}/earthing", location.earthing),
            *((f"{here}/circuits/{at}/earthing", one.earthing) for at, one in enumerate(circuits)),
        ]
        faults += [_not_there(pointer) for pointer, name in named if name not in there]
        if location.earthing != UNKNOWN:
            way_out = "the location is on another earthing, and speaks for its circuits; correct one, or leave out that of the location"
            faults += [Fault(pointer, way_out) for pointer, name in named[1:] if name not in (UNKNOWN, location.earthing)]
    if faults:
        raise Contradiction(tuple(faults))


def _metalwork(installation: Installation) -> Iterator[tuple[str, str]]:
    """The place of each service and item, with the earthing that it names."""
    yield from ((pointer, service.earthing) for _, pointer, service in described_services(installation))
    yield from ((pointer, item.earthing) for pointer, item in described_items(installation))


def _no_metal_between(further: Sequence[FurtherEarthing]) -> str:
    """Why no metal can run from one earthing to another, with the way out; empty where some may."""
    if not further:
        return "no earthing besides that of the supply is described, so no metal runs to one; describe it in `earthings`, or write `supply`"
    if len(further) == 1 and not further[0].may_be_tied_by_pipes:
        return "by its `ties` no metal but a cable joins that earthing to another; name this metal there, or write `supply` or the id"
    return ""


def _twice(earthings: Sequence[Earthing]) -> list[Fault]:
    seen = [SUPPLY, MORE_THAN_ONE, UNKNOWN]
    faults = []
    for index, one in enumerate(earthings):
        if one.id in seen:
            faults.append(Fault(f"/earthings/{index}/id", "this name stands for something else already; give each earthing its own"))
        seen.append(one.id)
    return faults


def _not_there(pointer: str) -> Fault:
    return Fault(pointer, "no earthing of this id is described in `earthings`; describe it there, or write `supply` or `unknown`")

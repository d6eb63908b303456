"""Which things of a description a pack does not judge: those of a kind that it has no rules for, and what is in them."""

from collections.abc import Iterator, Mapping

from msgspec import Struct

from bondwright.facts.asking import words_of
from bondwright.facts.row import Asked
from bondwright.installation.description import Installation
from bondwright.installation.rooms import Location
from bondwright.installation.terms import Terms
from bondwright.metalwork.survey import described_items, described_services, item_node
from bondwright.rulebook.kinds import TABLES, Kind, KindOf
from bondwright.rulebook.pack import RulePack
from bondwright.said import filled

_LEFT_OPEN = frozenset({"unknown"})
"""Words of a description that leave it open what kind a thing is of."""

_NO_SECTION = "none"
_LOCATIONS, _JUDGED = "its_locations", "judged"
"""The column of kinds of premises that says so of their locations with a section of their own."""
_METAL_AS = "metal_as"
"""The column of kinds of locations that names the kind of item as which the metal in one is left to what is judged of the location."""


class Unjudged(Struct, frozen=True):
    """A thing that is not judged. `why`: the kind that no rule covers, its own, or that of the place that it is in.

    `question_at`: the place in the description at which the kind is left open, if it is.
    """

    of: KindOf
    kind: str
    why: Kind
    question_at: str | None = None

    def asked(self, pack: RulePack) -> tuple[Asked, ...]:
        """What would settle it, where the description leaves its kind open and the pack asks for that."""
        fact = pack.kinds.facts.get(self.why.of, f"{self.why.of}_kind")
        return (Asked(fact, self.question_at),) if self.question_at and words_of(fact, pack) else ()


class Scope(Struct, frozen=True):
    """What is not judged: all of it, where the premises are not; else locations by index, and services and items by name."""

    premises: Unjudged | None
    rooms: Mapping[int, Unjudged]
    things: Mapping[str, Unjudged]

    @property
    def earthings(self) -> Unjudged | None:
        """Why earthings besides that of the supply are not judged: the premises, unless the locations in them are judged all the same."""
        return None if self.premises is None or _places_judged(self.premises) else self.premises


def scope(installation: Installation, pack: RulePack) -> Scope:
    """What `pack` does not judge of `installation`."""
    premises = _unjudged("premises", installation.premises, "/premises", pack)
    rooms = {
        index: unjudged for index, location in enumerate(installation.locations) if (unjudged := _room(location, index, premises, pack))
    }
    return Scope(premises, rooms, dict(_things(installation, premises, rooms, pack)))


def named(terms: Terms) -> tuple[tuple[KindOf, str], ...]:
    """Every kind that a description in those terms can name."""
    return tuple((of, name) for of in TABLES for name in terms.words(of))


def without_rules(rule_id: str, pack: RulePack, terms: Terms) -> Kind | None:
    """The kind that is not judged by the pack, and of which answers give that as the reason `rule_id`; none, if it is no such reason.

    `terms`: what descriptions may say.
    """
    kinds = (pack.kind(of, name) for of, name in named(terms))
    return next((kind for kind in kinds if kind.rule_id == rule_id and not kind.judged), None)


def room_name(location: Location, index: int, pack: RulePack) -> str:
    """What people call a location: its id, or its kind with its number."""
    number, words = str(index + 1), pack.kind("location", location.kind).word("words", "")
    return location.id or (filled(words, {"number": number}) if words else pack.say("name_location", number=number))


def _things(
    installation: Installation, premises: Unjudged | None, rooms: Mapping[int, Unjudged], pack: RulePack
) -> Iterator[tuple[str, Unjudged]]:
    for name, _, service in described_services(installation):
        if unjudged := _own("service", service.kind, premises, pack):
            yield name, unjudged
    for pointer, item in described_items(installation):
        in_room = pointer.startswith("/locations/")
        place = rooms.get(_index(pointer)) if in_room else premises
        left = _left_to_room(installation.locations[_index(pointer)], item.kind, pack) if in_room else None
        if unjudged := _own("item", item.kind, place, pack) or left:
            yield item_node(item.id, pointer), unjudged


def _left_to_room(location: Location, kind: str, pack: RulePack) -> Unjudged | None:
    """An item of which the location alone is to speak, for as metal of the building it would be cleared of what is asked for there."""
    metal_as = pack.kind("location", location.kind).word(_METAL_AS, "")
    why = pack.kind("item", metal_as)
    return Unjudged("item", kind, why) if metal_as and not why.judged else None


def _index(pointer: str) -> int:
    return int(pointer.split("/")[2])


def _own(of: KindOf, kind: str, place: Unjudged | None, pack: RulePack) -> Unjudged | None:
    """A thing of a kind, in a place that is not judged or in one that is."""
    if unjudged := _unjudged(of, kind, None, pack):
        return unjudged
    return Unjudged(of, kind, place.why, place.question_at) if place else None


def _room(location: Location, index: int, premises: Unjudged | None, pack: RulePack) -> Unjudged | None:
    """A location of such a kind; one with a section of its own is judged in premises of which the pack says so."""
    if unjudged := _unjudged("location", location.kind, f"/locations/{index}/kind", pack):
        return unjudged
    has_section = pack.kind("location", location.kind).word("section", _NO_SECTION) != _NO_SECTION
    if premises is None or (has_section and _places_judged(premises)):
        return None
    return Unjudged("location", location.kind, premises.why, premises.question_at)


def _places_judged(premises: Unjudged) -> bool:
    """Whether locations with a section of their own are judged in premises that are not."""
    return premises.why.word(_LOCATIONS, "") == _JUDGED


def _unjudged(of: KindOf, name: str, place: str | None, pack: RulePack) -> Unjudged | None:
    kind = pack.kind(of, name)
    return None if kind.judged else Unjudged(of, name, kind, place if name in _LEFT_OPEN else None)

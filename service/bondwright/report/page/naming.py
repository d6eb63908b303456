"""What the page calls things: the names that the describer gave, and kinds only where nobody named a part."""

from collections.abc import Iterable, Sequence
from itertools import chain

from msgspec import Struct

from bondwright.compose.answer import Evaluation, PartAnswer
from bondwright.facts.scope import room_name
from bondwright.installation.description import Installation
from bondwright.installation.rooms import Item, Location
from bondwright.installation.services import Section, Service, ServiceFrame
from bondwright.report.namesakes import placed, told_apart
from bondwright.rulebook.facts import UNKNOWN
from bondwright.rulebook.pack import RulePack

_MATERIALS = "materials"
_ENDS = ("near-end", "far-end")
_MOST_LISTED = 5


class Names(Struct, frozen=True):
    """The names of one evaluation's parts, locations and circuits."""

    evaluation: Evaluation
    installation: Installation
    pack: RulePack

    def short(self, part: PartAnswer) -> str:
        """As the describer named it, or by its kind where that is the only one; with the length where a service has several parts.

        What the answer calls it, where nobody named one of several of a kind.
        """
        name = self.owner(part.pointer)
        if not name:
            return placed(part.name, (part.part,), told_apart(self.evaluation))
        if part.count != 1:
            return self.pack.say("site_several", name=name, count=f"{part.count:g}") if self._given(part) else part.name
        place = _owner_of(part.pointer)
        lengths = [one for one in self.evaluation.parts if _owner_of(one.pointer) == place]
        return self._length(name, part) if len(lengths) > 1 else name

    def owner(self, pointer: str) -> str:
        """The name of the service, item or location that a place of the description is in: its id, else its kind, if it is the only one."""
        place = _owner_of(pointer)
        described = place_of(self.installation, place)
        if isinstance(described, Location):
            return room_name(described, int(place.rpartition("/")[2]), self.pack)
        if not isinstance(described, ServiceFrame | Item):
            return ""
        return described.id or self._only_one(described)

    def _only_one(self, described: ServiceFrame | Item) -> str:
        """The words for its kind, if nothing else described is of that kind."""
        told = self.installation
        rooms = (location.items for location in told.locations if not isinstance(location.items, str))
        things: tuple[ServiceFrame | Item, ...]
        things = (*told.items, *chain(*rooms)) if isinstance(described, Item) else (*told.services, *told.detailed_services)
        if sum(one.kind == described.kind for one in things) != 1:
            return ""
        return self.pack.kind("item" if isinstance(described, Item) else "service", described.kind).word("words", "")

    def full(self, part: PartAnswer) -> str:
        """The same with its kind in brackets, where the describer named it."""
        return self.grouped((part,))

    def grouped(self, parts: Sequence[PartAnswer]) -> str:
        """Full names side by side, those of one kind in a row with the kind once behind them."""
        by_kind: dict[str, list[str]] = {}
        for part in parts:
            kind, name = (self._kind(part), self.short(part)) if self._given(part) else ("", part.name)
            by_kind.setdefault(kind, []).append(name)
        say = self.pack.say
        return ", ".join(say("site_named", name=", ".join(some), kind=kind) if kind else ", ".join(some) for kind, some in by_kind.items())

    def of(self, part_id: str) -> str:
        """The short name of a part by its id."""
        return next((self.short(part) for part in self.evaluation.parts if part.part == part_id), part_id)

    def listed(self, names: Iterable[str]) -> str:
        """Names side by side, the last of many counted."""
        once = [*dict.fromkeys(names)]
        if len(once) <= _MOST_LISTED:
            return ", ".join(once)
        shown = ", ".join(once[: _MOST_LISTED - 1])
        return self.pack.say("site_and_more", names=shown, count=str(len(once) - _MOST_LISTED + 1))

    def _given(self, part: PartAnswer) -> str:
        """The id that the describer gave to the service or item; empty where none."""
        return getattr(place_of(self.installation, _owner_of(part.pointer)), "id", None) or ""

    def _length(self, given: str, part: PartAnswer) -> str:
        _, _, length = part.part.partition("/")
        which, _, end = length.partition("/")
        described = place_of(self.installation, part.pointer)
        if isinstance(described, Service):
            return self.pack.say(f"site_name_{which}", name=given)
        if end in _ENDS:
            return self.pack.say(f"site_name_{end.replace('-', '_')}", name=given, length=which)
        return self.pack.say("site_name_length", name=given, length=which)

    def _kind(self, part: PartAnswer) -> str:
        service = _is_service(part)
        kind = self.pack.kind("service" if service else "item", part.kind)
        words = kind.word("words" if part.count == 1 or service else "several", "")
        material = self._material(part)
        made_of = self.pack.rows(_MATERIALS).get(material, {}).get("words", "") if material != UNKNOWN else ""
        return " ".join(word for word in (made_of if made_of not in words else "", words) if word)

    def _material(self, part: PartAnswer) -> str:
        described = place_of(self.installation, part.pointer)
        if isinstance(described, Service):
            return described.enters_as if part.part.endswith("/entering") else described.inside
        return described.material if isinstance(described, Section | Item) else UNKNOWN


def place_of(installation: Installation, pointer: str) -> object:
    """What stands at a place of the description; nothing where there is none.

    A pointer that names no place of it, as of what the answer adds, gives none.
    """
    found: object = installation
    for step in pointer.strip("/").split("/"):
        if isinstance(found, Sequence) and not isinstance(found, str):
            found = found[int(step)] if step.isdigit() and int(step) < len(found) else None
        else:
            found = getattr(found, step, None)
    return found


def _owner_of(pointer: str) -> str:
    """The place of the service, item or location that a place of the description is in."""
    steps = pointer.split("/")
    inside = steps[1:2] == ["locations"] and steps[3:4] == ["items"] and len(steps) > 4
    return "/".join(steps[: 5 if inside else 3])


def _is_service(part: PartAnswer) -> bool:
    return part.pointer.startswith(("/services/", "/detailed_services/"))

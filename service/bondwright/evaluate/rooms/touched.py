"""The metal that can be touched in a room, a part at a time, with what the room says of it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from bondwright.evaluate.acts import Act
from bondwright.evaluate.bonds import SERVING
from bondwright.evaluate.parts import Part
from bondwright.installation.rooms import InRoom, Location, RoomService
from bondwright.metalwork.graph import Known, Source
from bondwright.metalwork.known import both, either, known
from bondwright.metalwork.lengths import Survey
from bondwright.metalwork.survey import item_node, shown_lengths
from bondwright.metalwork.worlds import near_gaps, reached
from bondwright.rulebook.pack import RulePack

_EXTRANEOUS = "extraneous"
_CPC: Source = "protective_conductor"


@dataclass(frozen=True, slots=True)
class House:
    """What rooms need to know of the rest: parts, what to do about each, which are bonded, and what the description covers."""

    parts: Sequence[Part]
    acts: Mapping[str, Act]
    states: Mapping[str, str]
    found: Survey
    survey_complete: Known

    def of(self, node: str) -> Part | None:
        """The part that a node belongs to."""
        return next((part for part in self.parts if node in part.run or node == part.subject.name), None)

    def bonded(self, part: Part, planned: bool) -> Known:
        """Whether a bond on the part itself connects it; `planned`: with the connections of the plan made."""
        name = part.subject.name
        if self.states[name] in SERVING or (planned and self.acts[name].advice.mark in ("do", "measure_first")):
            return "yes"
        return "no" if part.judged and part.bonds_known and self.states[name] != "cannot_rely" else "unknown"

    def connected(self, part: Part, planned: bool) -> Known:
        """Whether a part is connected to the main bonding; one that others serve may be."""
        bonded = self.bonded(part, planned)
        return "unknown" if bonded != "yes" and self.acts[part.subject.name].covered_by else bonded


@dataclass(frozen=True, slots=True)
class Touched:
    """A part that can be touched in a room, or may be. `part`: none for a service that nobody described.

    `extraneous`: can it be touched, and is it extraneous; `counts`: the same, or is it joined to protective conductors, which bring
    the terminal's potential in. `case`: can it be touched as the case of equipment. `said`: what the room says of it, at `pointer`.
    `brought_by`: keys of the unknowns about protective conductors on it.
    """

    name: str
    pointer: str
    part: Part | None
    extraneous: Known
    counts: Known
    case: Known
    said: InRoom
    brought_by: tuple[str, ...] = ()


def bond_pointer(part: Part) -> str:
    """The place of what would show the bond of a part: the first bond found on it, else its list of bonds."""
    return part.bonds[0].pointer if part.bonds else f"{part.head.pointer}/bonds"


def touched(location: Location, index: int, house: House, pack: RulePack) -> tuple[Touched, ...] | None:
    """The metal of a room in the order described; none if it is not described.

    Of a service only what stands inside shows there.
    Raises: Contradiction, if the room names a length that is not there.
    """
    if isinstance(location.services, str) or isinstance(location.items, str):
        return None
    cpc = reached(house.found.graph, _CPC)
    found: list[Touched] = []
    for number, service in enumerate(location.services):
        found += _of_service(service, f"/locations/{index}/services/{number}", house, cpc, pack)
    for number, item in enumerate(location.items):
        pointer = f"/locations/{index}/items/{number}"
        part = house.of(item_node(item.id, pointer))
        assert part is not None, "every item is a part"
        accessible = known(item.accessible)
        extraneous = both(accessible, _extraneous(part, pack)) if part.head.equipment_case == "no" else "no"
        ordinary: Known = known({"ordinary": "yes", "unknown": "unknown"}.get(item.protected_as, "no"))
        metal = house.found.graph.metal[part.head.node]
        case = both(accessible, ordinary, metal) if part.head.equipment_case == "yes" else "no"
        found.append(Touched(part.subject.name, pointer, part, extraneous, extraneous, case, item))
    return tuple(found)


def together(location: Location, present: Sequence[Touched]) -> Known:
    """Whether an equipment case can be touched together with another or with an extraneous part."""
    assert not isinstance(location.items, str), "the caller has seen the items"
    items = present[len(present) - len(location.items) :]
    cases = [one.case for one, item in zip(items, location.items, strict=True) for _ in range(min(int(item.count), 2)) if one.case != "no"]
    pairs = [both(one, other) for place, one in enumerate(cases) for other in cases[:place]]
    return either(*pairs, *(both(case, other.counts) for case in cases for other in present))


def _of_service(service: RoomService, pointer: str, house: House, cpc: Mapping[str, Known], pack: RulePack) -> Iterator[Touched]:
    """The parts of a service that show in a room, each once."""
    accessible = known(service.accessible)
    nodes = shown_lengths(house.found, service, pointer)
    if not nodes:
        may_be = both("unknown", accessible)
        yield Touched(service.kind, pointer, None, may_be, may_be, "no", service)
    parts = {part.subject.name: part for node in nodes if (part := house.of(node)) is not None}
    for name, part in parts.items():
        here = [node for node in nodes if node in part.run or node == name]
        shows = both(accessible, either(*(house.found.lengths[node].stands_inside for node in here)))
        brought = either(*(both(accessible, house.found.lengths[node].stands_inside, cpc[node]) for node in here))
        extraneous = both(shows, _extraneous(part, pack))
        gaps = near_gaps(house.found.graph, _CPC)(part.head.node) if brought == "unknown" else ()
        yield Touched(name, pointer, part, extraneous, either(extraneous, brought), "no", service, gaps)


def _extraneous(part: Part, pack: RulePack) -> Known:
    if not part.judged:
        return "unknown"
    top = len(pack.outcomes[_EXTRANEOUS].levels) - 1
    level = part.subject.levels[_EXTRANEOUS]
    return "yes" if level.settled >= top else "unknown" if level.worst_case >= top else "no"

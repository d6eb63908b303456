"""The metal that can be touched in a room, a part at a time, with what the room says of it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from bondwright.evaluate.parts import Part
from bondwright.evaluate.rooms.house import House, is_extraneous
from bondwright.installation.rooms import InRoom, Location, RoomService
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either, known
from bondwright.metalwork.survey import item_node, shown_lengths
from bondwright.rulebook.pack import RulePack


@dataclass(frozen=True, slots=True)
class Touched:
    """A part that can be touched in a room, or may be. `part`: none for a service that nobody described.

    `extraneous`: can it be touched, and is it extraneous; `counts`: the same, or is it joined to protective conductors, which bring
    the terminal's potential in. `case`: can it be touched as the case of equipment. `said`: what the room says of it, at `pointer`.
    `here`: the nodes of its lengths that show there.
    """

    name: str
    pointer: str
    part: Part | None
    extraneous: Known
    counts: Known
    case: Known
    said: InRoom
    here: tuple[str, ...] = ()


def touched(location: Location, index: int, house: House, pack: RulePack) -> tuple[Touched, ...] | None:
    """The metal of a room in the order described; none if it is not described.

    Of a service only what stands inside shows there.
    Raises: Contradiction, if the room names a length that is not there.
    """
    if isinstance(location.services, str) or isinstance(location.items, str):
        return None
    found: list[Touched] = []
    for number, service in enumerate(location.services):
        found += _of_service(service, f"/locations/{index}/services/{number}", house, pack)
    for number, item in enumerate(location.items):
        pointer = f"/locations/{index}/items/{number}"
        part = house.of(item_node(item.id, pointer))
        assert part is not None, "every item is a part"
        accessible = known(item.accessible)
        extraneous = both(accessible, is_extraneous(part, pack)) if part.head.equipment_case == "no" else "no"
        ordinary: Known = known({"ordinary": "yes", "unknown": "unknown"}.get(item.protected_as, "no"))
        metal = house.found.graph.metal[part.head.node]
        case = both(accessible, ordinary, metal) if part.head.equipment_case == "yes" else "no"
        found.append(Touched(part.subject.name, pointer, part, extraneous, extraneous, case, item, (part.head.node,)))
    return tuple(found)


def together(location: Location, present: Sequence[Touched]) -> Known:
    """Whether an equipment case can be touched together with another or with an extraneous part."""
    assert not isinstance(location.items, str), "the caller has seen the items"
    items = present[len(present) - len(location.items) :]
    cases = [one.case for one, item in zip(items, location.items, strict=True) for _ in range(min(int(item.count), 2)) if one.case != "no"]
    pairs = [both(one, other) for place, one in enumerate(cases) for other in cases[:place]]
    return either(*pairs, *(both(case, other.counts) for case in cases for other in present))


def _of_service(service: RoomService, pointer: str, house: House, pack: RulePack) -> Iterator[Touched]:
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
        brought = either(*(both(accessible, house.found.lengths[node].stands_inside, house.by_conductor[node]) for node in here))
        extraneous = both(shows, is_extraneous(part, pack))
        yield Touched(name, pointer, part, extraneous, either(extraneous, brought), "no", service, tuple(here))

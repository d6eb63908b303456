"""The metal that can be touched in a room, a part at a time, with what the room says of it."""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from bondwright.facts.parts.part import Part
from bondwright.facts.rooms.building import Building
from bondwright.installation.rooms import Location, RoomItem, RoomService
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either, known
from bondwright.metalwork.survey import item_node, shown_lengths


class Touched(Struct, frozen=True):
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
    said: RoomItem | RoomService
    here: tuple[str, ...] = ()


def touched(location: Location, index: int, building: Building) -> tuple[Touched, ...] | None:
    """The metal of a room in the order described; none if it is not described.

    Of a service only what stands inside shows there.
    Raises: Contradiction, if the room names a length that is not there.
    """
    if isinstance(location.services, str) or isinstance(location.items, str):
        return None
    found: list[Touched] = []
    for number, service in enumerate(location.services):
        found += _of_service(service, f"/locations/{index}/services/{number}", building)
    return (*found, *items_there(location, index, building))


def items_there(location: Location, index: int, building: Building) -> Iterator[Touched]:
    """The items of a room in the order described; none where they are not described."""
    for number, item in enumerate(() if isinstance(location.items, str) else location.items):
        pointer = f"/locations/{index}/items/{number}"
        part = building.of(item_node(item.id, pointer))
        assert part is not None, "every item is a part"
        accessible = known(item.accessible)
        extraneous = both(accessible, building.extraneous(part.name)) if part.head.service.equipment_case == "no" else "no"
        ordinary: Known = known({"ordinary": "yes", "unknown": "unknown"}.get(item.protected_as, "no"))
        metal = building.survey.graph.metal[part.head.node]
        case = both(accessible, ordinary, metal) if part.head.service.equipment_case == "yes" else "no"
        yield Touched(part.name, pointer, part, extraneous, extraneous, case, item, (part.head.node,))


def together(location: Location, present: Sequence[Touched]) -> Known:
    """Whether an equipment case can be touched together with another or with an extraneous part."""
    assert not isinstance(location.items, str), "the caller has seen the items"
    items = present[len(present) - len(location.items) :]
    cases = [
        metal.case for metal, item in zip(items, location.items, strict=True) for _ in range(min(int(item.count), 2)) if metal.case != "no"
    ]
    surely = cases.count("yes")
    pair: Known = "yes" if surely > 1 else "unknown" if len(cases) > 1 else "no"
    return either(pair, both(either(*cases), either(*(metal.counts for metal in present))))


def _of_service(service: RoomService, pointer: str, building: Building) -> Iterator[Touched]:
    """The parts of a service that show in a room, each once."""
    accessible = known(service.accessible)
    nodes = shown_lengths(building.survey, service, pointer)
    if not nodes:
        may_be = both("unknown", accessible)
        yield Touched(service.kind, pointer, None, may_be, may_be, "no", service)
    parts: dict[str, Part] = {}
    shown: dict[str, list[str]] = {}
    for node in nodes:
        if (part := building.of(node)) is not None:
            parts[part.name] = part
            shown.setdefault(part.name, []).append(node)
    lengths, by_conductor = building.survey.lengths, building.by_conductor
    for name, here in shown.items():
        shows = both(accessible, either(*(lengths[node].stands_inside for node in here)))
        brought = either(*(both(accessible, lengths[node].stands_inside, by_conductor[node]) for node in here))
        extraneous = both(shows, building.extraneous(name))
        yield Touched(name, pointer, parts[name], extraneous, either(extraneous, brought), "no", service, tuple(here))

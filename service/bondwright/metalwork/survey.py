"""From a description to the graph: every service and item as lengths of metalwork."""

from collections.abc import Mapping, Sequence

from bondwright.errors import Contradiction, Fault
from bondwright.installation.description import Installation
from bondwright.installation.rooms import Item, RoomService
from bondwright.installation.services import DetailedService, Service, ServiceFrame
from bondwright.metalwork.earthings import note_earthings
from bondwright.metalwork.forms.detailed import survey_detailed_service
from bondwright.metalwork.forms.items import may_be_fed_by_metal, survey_item
from bondwright.metalwork.forms.short import survey_service
from bondwright.metalwork.forms.tables import Tables
from bondwright.metalwork.graph import Source
from bondwright.metalwork.keys import gap
from bondwright.metalwork.lengths import Survey
from bondwright.metalwork.meetings import described_feeds, described_meetings, join_items, join_services, join_touching, refuse_undescribed
from bondwright.metalwork.notes import MOST_LENGTHS, SurveyNotes
from bondwright.rulebook.pack import RulePack

_FROM_OUTSIDE: tuple[Source, ...] = ("ground", "other_installation", "other_earthing_system")
_SHORT_FORM = {"entering_pipe": "entering", "inside_pipe": "inside", "beyond_hidden": "beyond"}


def survey(installation: Installation, pack: RulePack, most_lengths: int = MOST_LENGTHS) -> Survey:
    """The graph of `installation`, with one length per node.

    Raises: TooMuch, beyond `most_lengths`; Contradiction, where the description speaks of a length or service that is not there.
    """
    notes, tables = SurveyNotes(most_lengths=most_lengths), Tables.of(pack)
    services = described_services(installation)
    for name, pointer, service in services:
        if isinstance(service, DetailedService):
            survey_detailed_service(notes, tables, service, pointer, name)
        elif isinstance(service, Service):
            survey_service(notes, tables, service, pointer, name)
    refuse_undescribed(services)
    by_kind = _by_kind(notes, services)
    items = described_items(installation)
    kinds = {item.kind for _, item in items}
    for pointer, item in items:
        survey_item(notes, tables, item, pointer, item_node(item.id, pointer), _room_kind(installation, pointer), kinds)
    links_before = len(notes.links)
    join_services(notes, services)
    fed = [_fed(item, pointer) for pointer, item in items if may_be_fed_by_metal(tables, item)]
    join_items(notes, fed, [name for name, _, _ in services])
    may_meet = tuple(notes.links[links_before:])
    _join_touching(notes, tables, items)
    _doubt_the_unjudged(notes, tables, services, items)
    named = {name: (pointer, service.earthing) for name, pointer, service in services}
    note_earthings(notes, installation, {**named, **{item_node(one.id, at): (at, one.earthing) for at, one in items}}, pack)
    meetings = (*described_meetings(notes, services), *described_feeds(notes, _feeders(tables, items, services)))
    return Survey(notes.graph(), notes.lengths, by_kind, tuple(notes.joints), meetings, may_meet)


def _doubt_the_unjudged(
    notes: SurveyNotes, tables: Tables, services: Sequence[tuple[str, str, ServiceFrame]], items: Sequence[tuple[str, Item]]
) -> None:
    """Write down that metal of a kind that the pack does not judge may bring in anything: it frees no other metal, nor decides it."""
    aside = {name for name, _, service in services if not tables.pack.kind("service", service.kind).judged}
    aside |= {item_node(item.id, pointer) for pointer, item in items if not tables.pack.kind("item", item.kind).judged}
    for node, length in tuple(notes.lengths.items()):
        if length.belongs_to in aside:
            for source in _FROM_OUTSIDE:
                notes.touch(node, source, "unknown")


def _join_touching(notes: SurveyNotes, tables: Tables, items: Sequence[tuple[str, Item]]) -> None:
    """Join each item that touches, or may, another for which a word of touching stands to every described one of that kind."""
    for kind, words in tables.touched_kinds().items():
        if touched := [item_node(item.id, pointer) for pointer, item in items if item.kind == kind]:
            join_touching(notes, [_touching(item, pointer) for pointer, item in items if item.touches in words], touched)


def item_node(item_id: str | None, pointer: str) -> str:
    """The node of an item: its id, or its place."""
    return item_id or pointer.strip("/").replace("/", "-")


def described_services(installation: Installation) -> list[tuple[str, str, ServiceFrame]]:
    """Every service with its name and its place, those in the short form first."""
    forms: tuple[tuple[str, Sequence[ServiceFrame]], ...] = (
        ("services", installation.services),
        ("detailed_services", installation.detailed_services),
    )
    return [
        (service.id or f"{form}-{index}", f"/{form}/{index}", service) for form, services in forms for index, service in enumerate(services)
    ]


def described_items(installation: Installation) -> list[tuple[str, Item]]:
    """Every item with its place, those in rooms last."""
    loose: list[tuple[str, Item]] = [(f"/items/{index}", item) for index, item in enumerate(installation.items)]
    for index, location in enumerate(installation.locations):
        for number, item in enumerate(() if isinstance(location.items, str) else location.items):
            loose.append((f"/locations/{index}/items/{number}", item))
    return loose


def _fed(item: Item, pointer: str) -> tuple[str, str | None]:
    return item_node(item.id, pointer), gap("fed_by", f"{pointer}/fed_by", item.fed_by)


def _touching(item: Item, pointer: str) -> tuple[str, str | None]:
    return item_node(item.id, pointer), gap("touches", f"{pointer}/touches", item.touches)


def _feeders(
    tables: Tables, items: Sequence[tuple[str, Item]], services: Sequence[tuple[str, str, ServiceFrame]]
) -> Mapping[str, Sequence[str]]:
    """The names of the services that may feed each item that is said to be fed by metal, by its node."""
    return {
        item_node(item.id, pointer): [name for name, _, service in services if tables.may_feed(item.kind, service.kind)]
        for pointer, item in items
        if item.fed_by == "metal" and may_be_fed_by_metal(tables, item)
    }


def shown_lengths(surveyed: Survey, service: RoomService, pointer: str) -> tuple[str, ...]:
    """The nodes of a described service that show in a room; `pointer`: where the room names it. None where its kind is not described.

    Raises: Contradiction, if it names a service or length that is not described.
    """
    nodes = surveyed.by_kind.get(service.kind, ())
    if service.service is not None:
        nodes = tuple(node for node in nodes if surveyed.lengths[node].belongs_to == service.service)
        if not nodes:
            raise Contradiction((Fault(f"{pointer}/service", "no service of this kind with this id is described; name one that is"),))
    if service.length == "unknown":
        return nodes
    named = tuple(node for node in nodes if _is_length(node, surveyed.lengths[node].belongs_to, service.length))
    if not named:
        way_out = "the description says that there is no such length; name another or describe the length"
        raise Contradiction((Fault(f"{pointer}/length", way_out),))
    return named


def _is_length(node: str, owner: str, length: str) -> bool:
    own = node.removeprefix(f"{owner}/")
    return own == _SHORT_FORM.get(length, length) or own in (f"{length}/near-end", f"{length}/far-end")


def _by_kind(notes: SurveyNotes, services: list[tuple[str, str, ServiceFrame]]) -> Mapping[str, tuple[str, ...]]:
    named = {name: service.kind for name, _, service in services}
    found: dict[str, list[str]] = {}
    for node, length in notes.lengths.items():
        if length.belongs_to in named:
            found.setdefault(named[length.belongs_to], []).append(node)
    return {kind: tuple(nodes) for kind, nodes in found.items()}


def _room_kind(installation: Installation, pointer: str) -> str | None:
    """The kind of location in which the item at `pointer` is, if it is in one."""
    _, holder, index, *_ = pointer.split("/")
    return installation.locations[int(index)].kind if holder == "locations" else None

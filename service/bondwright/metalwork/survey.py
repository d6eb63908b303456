"""From a description to the graph: every service and item as lengths of metalwork."""

from collections.abc import Mapping

from bondwright.installation.description import Installation
from bondwright.installation.services import ServiceFrame
from bondwright.metalwork.detailed_form import survey_detailed_service
from bondwright.metalwork.lengths import Sheet, Survey
from bondwright.metalwork.loose import may_be_fed_by_metal, survey_item
from bondwright.metalwork.meetings import join_items, join_services
from bondwright.metalwork.short_form import survey_service
from bondwright.metalwork.tables import Tables
from bondwright.rulebook.pack import RulePack


def survey(installation: Installation, pack: RulePack) -> Survey:
    """The graph of `installation`, with one length per node.

    Raises: Contradiction, where the description speaks of a length that it says is not there.
    """
    sheet, tables = Sheet(), Tables(pack)
    services: list[tuple[str, str, ServiceFrame]] = []
    for index, service in enumerate(installation.services):
        name, pointer = service.id or f"services-{index}", f"/services/{index}"
        survey_service(sheet, tables, service, pointer, name)
        services.append((name, pointer, service))
    for index, detailed in enumerate(installation.detailed_services):
        name, pointer = detailed.id or f"detailed_services-{index}", f"/detailed_services/{index}"
        survey_detailed_service(sheet, tables, detailed, pointer, name)
        services.append((name, pointer, detailed))
    by_kind = _by_kind(sheet, services)
    fed = _items(sheet, tables, installation)
    join_services(sheet, services)
    join_items(sheet, fed, [name for name, _, _ in services])
    return Survey(sheet.graph(), sheet.lengths, by_kind)


def item_node(item_id: str | None, pointer: str) -> str:
    """The node of an item: its id, or its place."""
    return item_id or pointer.strip("/").replace("/", "-")


def _items(sheet: Sheet, tables: Tables, installation: Installation) -> list[tuple[str, str]]:
    fed: list[tuple[str, str]] = []
    for index, item in enumerate(installation.items):
        pointer = f"/items/{index}"
        node = survey_item(sheet, tables, item, pointer, item_node(item.id, pointer))
        fed += [(node, pointer)] if may_be_fed_by_metal(item) else []
    for index, location in enumerate(installation.locations):
        for number, room_item in enumerate(() if isinstance(location.items, str) else location.items):
            pointer = f"/locations/{index}/items/{number}"
            node = survey_item(sheet, tables, room_item, pointer, item_node(room_item.id, pointer))
            fed += [(node, pointer)] if may_be_fed_by_metal(room_item) else []
    return fed


def _by_kind(sheet: Sheet, services: list[tuple[str, str, ServiceFrame]]) -> Mapping[str, tuple[str, ...]]:
    named = {name: service.kind for name, _, service in services}
    found: dict[str, list[str]] = {}
    for node, length in sheet.lengths.items():
        if length.belongs_to in named:
            found.setdefault(named[length.belongs_to], []).append(node)
    return {kind: tuple(nodes) for kind, nodes in found.items()}

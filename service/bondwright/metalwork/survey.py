"""From a description to the graph: every service and item as lengths of metalwork."""

from collections.abc import Mapping

from bondwright.errors import Fault, TooMuch
from bondwright.installation.description import Installation
from bondwright.installation.rooms import Item
from bondwright.installation.services import ServiceFrame
from bondwright.metalwork.detailed_form import survey_detailed_service
from bondwright.metalwork.lengths import Sheet, Survey, gap
from bondwright.metalwork.loose import may_be_fed_by_metal, survey_item
from bondwright.metalwork.meetings import join_items, join_services, join_to_steel, refuse_undescribed
from bondwright.metalwork.short_form import survey_service
from bondwright.metalwork.tables import Tables
from bondwright.rulebook.pack import RulePack

MOST_LENGTHS = 400
"""More would keep others waiting; a large house has some forty."""

_MAY_TOUCH_STEEL = ("structural_steel", "unknown")


def survey(installation: Installation, pack: RulePack) -> Survey:
    """The graph of `installation`, with one length per node.

    Raises: TooMuch, beyond MOST_LENGTHS; Contradiction, where the description speaks of a length or service that is not there.
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
    refuse_undescribed(services)
    by_kind = _by_kind(sheet, services)
    items = _items(installation)
    steel = [item_node(item.id, pointer) for pointer, item in items if item.kind == "structural_steel"]
    for pointer, item in items:
        survey_item(sheet, tables, item, pointer, item_node(item.id, pointer), bool(steel))
    join_services(sheet, services)
    fed = [_fed(item, pointer) for pointer, item in items if may_be_fed_by_metal(tables, item)]
    join_items(sheet, fed, [name for name, _, _ in services])
    join_to_steel(sheet, [item_node(item.id, pointer) for pointer, item in items if item.touches in _MAY_TOUCH_STEEL], steel)
    if len(sheet.lengths) > MOST_LENGTHS:
        way_out = f"this makes more than {MOST_LENGTHS} lengths of metalwork; describe the building in several parts"
        raise TooMuch((Fault("", way_out),))
    return Survey(sheet.graph(), sheet.lengths, by_kind)


def item_node(item_id: str | None, pointer: str) -> str:
    """The node of an item: its id, or its place."""
    return item_id or pointer.strip("/").replace("/", "-")


def _items(installation: Installation) -> list[tuple[str, Item]]:
    """Every item with its place, those in rooms last."""
    loose: list[tuple[str, Item]] = [(f"/items/{index}", item) for index, item in enumerate(installation.items)]
    for index, location in enumerate(installation.locations):
        for number, item in enumerate(() if isinstance(location.items, str) else location.items):
            loose.append((f"/locations/{index}/items/{number}", item))
    return loose


def _fed(item: Item, pointer: str) -> tuple[str, str | None]:
    question = gap("fed_by", f"{pointer}/fed_by") if item.fed_by == "unknown" else None
    return item_node(item.id, pointer), question


def _by_kind(sheet: Sheet, services: list[tuple[str, str, ServiceFrame]]) -> Mapping[str, tuple[str, ...]]:
    named = {name: service.kind for name, _, service in services}
    found: dict[str, list[str]] = {}
    for node, length in sheet.lengths.items():
        if length.belongs_to in named:
            found.setdefault(named[length.belongs_to], []).append(node)
    return {kind: tuple(nodes) for kind, nodes in found.items()}

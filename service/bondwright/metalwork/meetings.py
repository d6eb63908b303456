"""Where the metal of one service meets another's, at boilers and the like, or feeds an item.

Such a meeting never makes two services one part and never counts as a bond, so it stands as a possible link only.
"""

from collections.abc import Sequence

from bondwright.installation.services import ServiceFrame
from bondwright.metalwork.graph import Known
from bondwright.metalwork.lengths import Length, Sheet, gap


def join_services(sheet: Sheet, services: Sequence[tuple[str, str, ServiceFrame]]) -> None:
    """Join each pair of services (name, pointer, service) that meet or may meet."""
    for index, (name, pointer, service) in enumerate(services):
        for other_name, _, other in services[index + 1 :]:
            meets = _meets(service, other)
            if meets != "no":
                question = gap("joined_to", f"{pointer}/joined_to") if meets == "unknown" else None
                sheet.join(_appliances(sheet, name), _appliances(sheet, other_name), "unknown", question)


def join_items(sheet: Sheet, fed: Sequence[tuple[str, str]], services: Sequence[str]) -> None:
    """Join each item (node, pointer) that a metal pipe may feed to every service that may be that pipe."""
    for node, pointer in fed:
        for name in services:
            sheet.join(node, _appliances(sheet, name), "unknown", gap("fed_by", f"{pointer}/fed_by"))


def _meets(service: ServiceFrame, other: ServiceFrame) -> Known:
    lists = (service.joined_to, other.kind), (other.joined_to, service.kind)
    if any(not isinstance(named, str) and kind in named for named, kind in lists):
        return "yes"
    return "no" if all(not isinstance(named, str) for named, _ in lists) else "unknown"


def _appliances(sheet: Sheet, name: str) -> str:
    """The node that stands for the appliances at the ends of a service; made when first asked for."""
    node = f"{name}/appliances"
    if node not in sheet.lengths:
        sheet.add(Length(node, name, "", "appliances", "appliances", "here", "no", seen=False, bonds=()), "yes")
        for end in sheet.ends[name]:
            sheet.join(node, end, "unknown")
    return node

"""Where the metal of one service meets another's, at boilers and the like, or feeds an item.

Such a meeting never makes two services one part and never counts as a bond, so it stands as a possible link only.
"""

from collections.abc import Iterator, Mapping, Sequence

from bondwright.errors import Contradiction, Fault
from bondwright.installation.services import ServiceFrame
from bondwright.metalwork.forms.making import write_appliances
from bondwright.metalwork.graph import Crowd, Known
from bondwright.metalwork.keys import gap, together
from bondwright.metalwork.lengths import Meeting
from bondwright.metalwork.notes import SurveyNotes


def refuse_undescribed(services: Sequence[tuple[str, str, ServiceFrame]]) -> None:
    """Pass if every service that another is said to meet is described.

    Raises: Contradiction, with the place of each kind that is not.
    """
    described = {service.kind for _, _, service in services}
    faults = tuple(
        Fault(f"{pointer}/joined_to/{number}", "no service of this kind is described; describe it, or leave it out of the list")
        for _, pointer, service in services
        for number, kind in enumerate(() if isinstance(service.joined_to, str) else service.joined_to)
        if kind not in described
    )
    if faults:
        raise Contradiction(faults)


def join_services(notes: SurveyNotes, services: Sequence[tuple[str, str, ServiceFrame]]) -> None:
    """Join each pair of services (name, pointer, service) that meet or may meet."""
    for index, (name, pointer, service) in enumerate(services):
        for met_name, met_pointer, met in services[index + 1 :]:
            meets, pair = _meets(service, met), ((pointer, service), (met_pointer, met))
            if meets != "no":
                question = together(*(gap("joined_to", f"{at}/joined_to", described.joined_to) for at, described in pair))
                open_question = question if meets == "unknown" else None
                notes.join(_appliances(notes, name), _appliances(notes, met_name), "unknown", open_question, "no")


def join_items(notes: SurveyNotes, fed: Sequence[tuple[str, str | None]], services: Sequence[str]) -> None:
    """Join each item (node, its open question) that a metal pipe may feed to every service that may be that pipe.

    Where no service is described, the pipe may come from the ground.
    """
    for node, question in fed:
        if not services:
            notes.touch(node, "ground", "unknown", question, "no")
        for name in services:
            notes.join(node, _appliances(notes, name), "unknown", question, "no")


def join_touching(notes: SurveyNotes, touching: Sequence[tuple[str, str | None]], touched: Sequence[str]) -> None:
    """Join each item (node, its open question) that touches those others, or may, to every one of them."""
    if not notes.crowd.steel:
        notes.crowd = Crowd(dict(touching), dict.fromkeys(touched))
        return
    for node, question in touching:
        for other in touched:
            if node != other:
                notes.join(node, other, "unknown", question, "no")


def described_meetings(notes: SurveyNotes, services: Sequence[tuple[str, str, ServiceFrame]]) -> Iterator[Meeting]:
    """The meetings of services that are said to be there; one that is said of a kind may be with any service of that kind."""
    ends = {name: tuple(notes.ends[name]) for name, _, _ in services}
    for name, _, service in services:
        for kind in () if isinstance(service.joined_to, str) else service.joined_to:
            others = tuple(ends[met_name] for met_name, _, met in services if met.kind == kind and met_name != name)
            if others:
                yield Meeting(ends[name], others)
            if len(others) == 1:
                yield Meeting(others[0], (ends[name],))


def described_feeds(notes: SurveyNotes, fed: Mapping[str, Sequence[str]]) -> Iterator[Meeting]:
    """For each item that a metal pipe is said to feed, by node, its meeting with one of the services that may be that pipe."""
    for node, services in fed.items():
        ends = [tuple(notes.ends[name]) for name in services]
        metal = tuple(lengths for lengths in ends if any(notes.metal[node] != "no" for node in lengths))
        if metal:
            yield Meeting((node,), metal)


def _meets(service: ServiceFrame, met: ServiceFrame) -> Known:
    lists = (service.joined_to, met.kind), (met.joined_to, service.kind)
    if any(not isinstance(named, str) and kind in named for named, kind in lists):
        return "yes"
    return "no" if all(not isinstance(named, str) for named, _ in lists) else "unknown"


def _appliances(notes: SurveyNotes, name: str) -> str:
    """The node that stands for the appliances at the ends of a service; made when first asked for."""
    node = f"{name}/appliances"
    if node not in notes.lengths:
        write_appliances(notes, name)
        for end in notes.ends[name]:
            notes.join(node, end, "unknown")
    return node

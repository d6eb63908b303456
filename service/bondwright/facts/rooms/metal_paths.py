"""Which metal leads to metal that is bonded: through joints and meetings alone, never through soil, water or a protective conductor."""

from collections.abc import Callable, Iterator, Mapping

from msgspec import Struct

from bondwright.members import replace
from bondwright.metalwork.graph import Contact, Crowd, Known, Source
from bondwright.metalwork.lengths import Survey
from bondwright.metalwork.worlds import near_gaps, reached

_BOND: Source = "protective_conductor"
"""The source that stands for a bond; no other stands in the graphs made here."""


class MetalPaths(Struct, frozen=True):
    """For each node whether metal leads from it to a bond, and the keys of the unknowns that decide it."""

    leads: Mapping[str, Known]
    gaps: Callable[[str], tuple[str, ...]]


def metal_paths(surveyed: Survey, bonded: Mapping[str, tuple[Known, str | None]]) -> MetalPaths:
    """The paths to the nodes `bonded`, each with whether its bond connects, and the key of what would settle it, if anything does."""
    contacts = [Contact(node, _BOND, certain, gap) for node, (certain, gap) in bonded.items()]
    while True:
        graph = replace(surveyed.graph, links=(*surveyed.joints, *surveyed.may_meet), contacts=tuple(contacts), crowd=Crowd())
        leads = reached(graph, _BOND)
        joined = [node for node in _joined(surveyed, leads) if leads[node] != "yes"]
        if not joined:
            return MetalPaths(leads, near_gaps(graph, _BOND))
        contacts += [Contact(node, _BOND, "yes") for node in joined]


def _joined(surveyed: Survey, leads: Mapping[str, Known]) -> Iterator[str]:
    """Lengths that certainly meet bonded metal: all that they may meet is bonded, and they are one piece, so it matters not where."""
    home = {node: run for run in surveyed.graph.runs for node in run}
    for meeting in surveyed.meetings:
        own_runs = {home.get(end) for end in meeting.ends}
        bonded = all(lengths and all(leads[end] == "yes" for end in lengths) for lengths in meeting.others)
        if len(own_runs) == 1 and None not in own_runs and bonded:
            yield from meeting.ends

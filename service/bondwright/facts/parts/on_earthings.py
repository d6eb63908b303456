"""Which earthing the metal of a part is on, and whether it joins two of them."""

from collections.abc import Callable, Mapping
from itertools import combinations

from msgspec import Struct

from bondwright.facts.asking import ask_keys
from bondwright.facts.row import Asked
from bondwright.installation.earthings import SUPPLY
from bondwright.metalwork.earthings import ON_OTHER
from bondwright.metalwork.graph import Graph, Known, OfEarthing
from bondwright.metalwork.known import both, either
from bondwright.metalwork.worlds import Deciding, near_deciding, reached
from bondwright.rulebook.facts import FactValue
from bondwright.rulebook.pack import RulePack

_BETWEEN = "between_two_earthings"


class OnEarthings(Struct, frozen=True):
    """Which earthings reach each node, that of the supply among them; none where no further one is described."""

    reach: Mapping[OfEarthing, Mapping[str, Known]]
    deciding: Mapping[OfEarthing, Callable[[str], Deciding]]

    def facts(self, node: str) -> Mapping[str, FactValue]:
        """What is known of a node that may be metal."""
        further = (found[node] for earthing, found in self.reach.items() if earthing.id != SUPPLY)
        pairs = (both(one[node], other[node]) for one, other in combinations(self.reach.values(), 2))
        return {ON_OTHER: either(*further), _BETWEEN: either(*pairs)}

    def asked(self, node: str, pack: RulePack) -> Mapping[str, tuple[Asked, ...]]:
        """The questions behind that."""
        keys = {key: None for earthing, found in self.reach.items() if found[node] == "unknown" for key in self.deciding[earthing](node)[0]}
        return dict.fromkeys((ON_OTHER, _BETWEEN), ask_keys(keys, pack))


def on_earthings(graph: Graph) -> OnEarthings:
    """Which earthings reach the nodes of a graph."""
    named = dict.fromkeys(contact.source for contact in graph.contacts if isinstance(contact.source, OfEarthing))
    return OnEarthings({one: reached(graph, one) for one in named}, {one: near_deciding(graph, one) for one in named})

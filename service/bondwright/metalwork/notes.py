"""What the forms of description write down, until the survey is made of it."""

from msgspec import Struct, field

from bondwright.errors import Fault, TooMuch
from bondwright.metalwork.graph import Contact, Crowd, Graph, Known, Link, Settles, Source
from bondwright.metalwork.lengths import Length

MOST_LENGTHS = 400
"""More would keep others waiting; a large house has some forty."""


class SurveyNotes(Struct):
    """Lengths by node, whether each is metal, and all that joins or touches them, in the order written down.

    `metal_gaps`: the key of the question behind a length that may be metal. `joints`: the links through which metal itself may go on.
    `crowd`: what may touch steel. `ends`: the nodes at which each service, by name, may end at an appliance.
    """

    lengths: dict[str, Length] = field(default_factory=dict)
    metal: dict[str, Known] = field(default_factory=dict)
    metal_gaps: dict[str, str] = field(default_factory=dict)
    links: list[Link] = field(default_factory=list)
    joints: list[Link] = field(default_factory=list)
    contacts: list[Contact] = field(default_factory=list)
    ends: dict[str, list[str]] = field(default_factory=dict)
    crowd: Crowd = field(default_factory=Crowd)
    most_lengths: int = MOST_LENGTHS

    def add(self, length: Length, metal: Known, gap: str | None = None) -> str:
        """Write down a length; gives its node. Raises: TooMuch, for the first beyond `most_lengths`."""
        self.lengths[length.node] = length
        if len(self.lengths) > self.most_lengths:
            way_out = f"this makes more than {self.most_lengths} lengths of metalwork; describe the building in several parts"
            raise TooMuch((Fault("", way_out),))
        self.metal[length.node] = metal
        if metal == "unknown" and gap is not None:
            self.metal_gaps[length.node] = gap
        return length.node

    def join(self, a: str, b: str, conducts: Known, gap: str | None = None, settles: Settles = "either") -> None:
        """Write down a link; a certain or absent one has no question."""
        if conducts != "no":
            self.links.append(Link(a, b, conducts, gap if conducts == "unknown" else None, settles))

    def joint(self, a: str, b: str, whole: Known, gap: str | None = None) -> None:
        """Write down that metal goes on from one length to the next, or may, whatever else may carry a potential there."""
        if whole != "no":
            self.joints.append(Link(a, b, whole, gap if whole == "unknown" else None))

    def touch(self, node: str, source: Source, touches: Known, gap: str | None = None, settles: Settles = "either") -> None:
        """Write down a contact; a certain or absent one has no question."""
        if touches != "no":
            self.contacts.append(Contact(node, source, touches, gap if touches == "unknown" else None, settles))

    def graph(self) -> Graph:
        """The graph of everything written down."""
        return Graph(tuple(self.lengths), tuple(self.links), tuple(self.contacts), dict(self.metal), dict(self.metal_gaps), self.crowd)

"""What the survey of a description comes to: lengths of metalwork in a graph, with what was noted on each and what it belongs to."""

from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass, field
from typing import Generic, TypeVar

import msgspec
from msgspec import Struct

from bondwright.installation.proof import Bond, Measurement
from bondwright.installation.words import Unknown
from bondwright.metalwork.graph import Graph, Known, Link, Neighbours, Run, spread

BondOrReading = TypeVar("BondOrReading", Bond, Measurement)


class Noted(Struct, Generic[BondOrReading], frozen=True):
    """A bond or reading, with its name and its place in the description."""

    name: str
    """Its own id, or its place in the list, after the name of what it is on: `water/bonds-0`."""
    pointer: str
    """JSON Pointer of it."""
    described: BondOrReading


class LengthNotes(Struct, frozen=True):
    """What was noted on a length."""

    bonds: tuple[Noted[Bond], ...] | None = ()
    """The bonds on it, in the order described; none if nobody said whether there are any."""
    measurements: tuple[Noted[Measurement], ...] = ()
    """The readings taken on it, in the order described."""


class EntrySection(Struct, frozen=True):
    """An insulating section where a metal pipe comes in: whether there is one, its length, and how far in it starts."""

    there: Known = "no"
    length_m: float | Unknown = "unknown"
    from_entry_m: float | Unknown = "unknown"


class LengthService(Struct, frozen=True):
    """What the service or item is that a length belongs to, as far as it matters to this length."""

    sort: str = "unknown"
    """The sort that the pack's table of kinds puts it into."""
    fluid: str = "none"
    """What it carries, as the table of fluids names it."""
    owner_asset: Known = "no"
    """Whether the length is still the network operator's: before a meter inside that parts it from the consumer's pipe."""
    owner_consent: str = "unknown"
    """Whether its owner agrees to a bond, as described."""
    of_kind: Mapping[str, Known] = msgspec.field(default_factory=dict)
    """What the kind of item tells of it, by the fact; `no` of what is not there."""
    equipment_case: Known = "no"
    """Whether it is the case of electrical equipment."""
    protected_as: str = "unknown"
    """The protective measure of such equipment, as described."""
    meter_inside: Known = "no"
    meter_outside: Known = "no"
    entry_section: EntrySection = EntrySection()
    """The insulating section that this length profits by."""
    left_out_by_agreement: str = "unknown"
    """Whether it was agreed that it is not inspected, as described."""


class Length(Struct, frozen=True):
    """One node of the graph: a length of metalwork as people name it."""

    node: str
    """Its name in the graph and in the answer: `water/inside`."""
    belongs_to: str
    """Name of the service or item."""
    pointer: str
    """JSON Pointer of what describes it."""
    name: str
    """Its name in sentences: `the water pipe inside (copper)`."""
    kind: str
    """The kind of service or item, as described."""
    bond_place: str
    """Key of the pack's words for where a bond on it goes."""
    touches_soil_or_concrete: Known
    stands_inside: Known = "yes"
    """Whether any of it stands inside the building."""
    touchable_with_building: Known = "unknown"
    """Whether it can be touched together with metal of the building."""
    of_material: Mapping[str, Known] = msgspec.field(default_factory=dict)
    """What its material tells of it, by the fact; `no` of what is not there."""
    count: float = 1.0
    """How many there are of it, of an item."""
    seen: bool = True
    """False for a length that nobody can reach, which gets no verdict."""
    noted: LengthNotes = LengthNotes()
    service: LengthService = LengthService()
    gaps: Mapping[str, str] = msgspec.field(default_factory=dict)
    """Keys of the questions behind what is unknown of it, by what that is, mostly the name of a fact."""


class Meeting(Struct, frozen=True):
    """Metal that is said to meet other metal at an appliance, or to be fed by it.

    `ends`: the lengths of a service or item, of which one is there. `others`: the same of each thing that may be what it meets.
    """

    ends: tuple[str, ...]
    others: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Survey:
    """The graph of a description, its lengths by node, and the nodes of each service that show in a room, by kind.

    `joints`: the links through which metal itself may go on, so that two lengths may be one piece; not a column of water, and
    no meeting at an appliance. `meetings`: those that are described; `may_meet`: the links of all that are possible.
    """

    graph: Graph
    lengths: Mapping[str, Length]
    by_kind: Mapping[str, tuple[str, ...]]
    joints: tuple[Link, ...] = ()
    meetings: tuple[Meeting, ...] = ()
    may_meet: tuple[Link, ...] = ()
    _beside: Neighbours = field(init=False, repr=False, compare=False)
    _tally: Mapping[str, "_Tally"] = field(init=False, repr=False, compare=False)
    _joints_at: Mapping[str, tuple[tuple[int, Link], ...]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Finds once through which joints metal may go on, and which lengths may so turn out to be one piece."""
        joints_at: dict[str, list[tuple[int, Link]]] = {node: [] for node in self.graph.nodes}
        for place, link in enumerate(self.joints):
            joints_at[link.a].append((place, link))
            joints_at[link.b].append((place, link))
        beside = {node: tuple(link.b if link.a == node else link.a for _, link in at) for node, at in joints_at.items()}
        tally: dict[str, _Tally] = {}
        for node in self.graph.nodes:
            if node not in tally and self.graph.metal[node] != "no":
                met = tuple(spread([node], beside, lambda name: self.graph.metal[name] != "no", lambda _: True))
                tally |= dict.fromkeys(met, _Tally.of(self.lengths[name] for name in met))
        object.__setattr__(self, "_beside", beside)
        object.__setattr__(self, "_tally", tally)
        object.__setattr__(self, "_joints_at", {node: tuple(at) for node, at in joints_at.items()})

    def maybe_one_with(self, run: Run) -> "MaybeOne":
        """What may turn out to be one piece with a run."""
        near = (beside for node in sorted(run) for beside in self._beside[node])
        nearest = next((self.lengths[node] for node in near if node not in run and self.graph.metal[node] != "no"), None)
        if nearest is None:
            return MaybeOne(None, 0, "no", "no")
        tallies = {id(tally): tally for tally in map(self._tally.__getitem__, run)}.values()
        own = _Tally.of(map(self.lengths.__getitem__, run))
        return MaybeOne(
            nearest,
            sum(tally.lengths for tally in tallies) - own.lengths,
            "unknown" if sum(tally.inside for tally in tallies) > own.inside else "no",
            "unknown" if sum(tally.touchable for tally in tallies) > own.touchable else "no",
        )

    def joints_among(self, nodes: Set[str]) -> list[Link]:
        """The joints between two of the nodes, in the order of the joints."""
        found = {place: link for node in nodes for place, link in self._joints_at[node] if link.a in nodes and link.b in nodes}
        return [found[place] for place in sorted(found)]


class MaybeOne(Struct, frozen=True):
    """The lengths that may turn out to be one piece with a run, those of the run itself left out.

    `nearest`: the first of them that is met, if there is one. `how_many` there are. `inside`, `touchable`: whether, with one of them, the
    run may stand inside the building, and may be touched together with it.
    """

    nearest: Length | None
    how_many: int
    inside: Known
    touchable: Known


class _Tally(Struct, frozen=True):
    """How many lengths there are; how many may stand inside the building; how many may be touched together with it."""

    lengths: int
    inside: int
    touchable: int

    @staticmethod
    def of(lengths: Iterable[Length]) -> "_Tally":
        found = [(length.stands_inside != "no", length.touchable_with_building != "no") for length in lengths]
        return _Tally(len(found), sum(inside for inside, _ in found), sum(touchable for _, touchable in found))

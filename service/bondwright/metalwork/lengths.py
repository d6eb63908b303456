"""What the survey of a description comes to: lengths of metalwork in a graph, with what was found on each."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from bondwright.installation.proof import Bond, Measurement
from bondwright.installation.words import Unknown
from bondwright.metalwork.graph import Contact, Graph, Known, Link, Run, Settles, Source, neighbours, spread


@dataclass(frozen=True, slots=True)
class Found:
    """A bond or reading with its place in the description."""

    name: str
    pointer: str
    what: Bond | Measurement


@dataclass(frozen=True, slots=True)
class EntrySection:
    """An insulating section where a metal pipe comes in: whether there is one, its length, and how far in it starts."""

    there: Known = "no"
    length_m: float | Unknown = "unknown"
    from_entry_m: float | Unknown = "unknown"


@dataclass(frozen=True, slots=True)
class Length:
    """One node of the graph: a length of metalwork as people name it.

    `belongs_to`: id of the service or item. `seen`: false for a length that nobody can reach, which gets no verdict.
    `place`: key of the words for where a bond goes. `earthy`: may it touch soil or concrete. `limited`: was it left
    uninspected by agreement. `stands_inside`: does any of it stand inside the building. `bonds`: none if nobody said.
    `gaps`: keys of the questions behind what is unknown of it, by what that is, mostly the name of a fact.
    """

    node: str
    belongs_to: str
    pointer: str
    name: str
    kind: str
    place: str
    earthy: Known
    count: float = 1.0
    seen: bool = True
    fluid: str = "none"
    owner_asset: Known = "no"
    telecom: Known = "no"
    owner_consent: str = "unknown"
    equipment_case: Known = "no"
    protected_as: str = "unknown"
    sort: str = "unknown"
    lead: Known = "no"
    meter_inside: Known = "no"
    meter_outside: Known = "no"
    limited: str = "unknown"
    stands_inside: Known = "yes"
    touchable_with_building: Known = "unknown"
    entry_section: EntrySection = EntrySection()
    bonds: tuple[Found, ...] | None = None
    measurements: tuple[Found, ...] = ()
    gaps: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Meeting:
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

    def maybe_one_with(self, run: Run) -> tuple[Length, ...]:
        """The lengths that may turn out to be one piece with a run, nearest first; those of the run itself are left out."""
        beside = neighbours(replace(self.graph, links=self.joints), "unknown")
        met = spread(sorted(run), beside, lambda node: self.graph.metal[node] != "no", lambda _: True)
        return tuple(self.lengths[node] for node in met if node not in run)


@dataclass(slots=True)
class Sheet:
    """Where the forms write down what they find, until the survey is made of it."""

    lengths: dict[str, Length] = field(default_factory=dict)
    metal: dict[str, Known] = field(default_factory=dict)
    metal_gaps: dict[str, str] = field(default_factory=dict)
    links: list[Link] = field(default_factory=list)
    joints: list[Link] = field(default_factory=list)
    contacts: list[Contact] = field(default_factory=list)
    ends: dict[str, list[str]] = field(default_factory=dict)

    def add(self, length: Length, metal: Known, gap: str | None = None) -> str:
        """Write down a length; gives its node."""
        self.lengths[length.node] = length
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
        return Graph(tuple(self.lengths), tuple(self.links), tuple(self.contacts), dict(self.metal), dict(self.metal_gaps))


def gap(ask: str, pointer: str, said: object = "unknown") -> str | None:
    """The key of a question about the description: which one, and of which field; none where that field says something."""
    return f"{ask} {pointer}" if said is None or said == "unknown" else None


def together(*keys: str | None) -> str | None:
    """One key for several questions; none where there are none."""
    return ", ".join(dict.fromkeys(key for key in keys if key)) or None


def of_metal(lies: Known, where: str | None, made_of: str | None) -> tuple[str | None, Settles]:
    """The key of what is open of a contact, and which way that settles it.

    `lies`: whether metal there touches; `where`, `made_of`: the keys of the questions where it is and of what, which is asked first.
    """
    return made_of or where, "no" if lies == "unknown" and (made_of or where is None) else "either"


def by_fact(keys: Mapping[str, str | None]) -> Mapping[str, str]:
    """Those that are there."""
    return {fact: key for fact, key in keys.items() if key}


def asked(keys: Iterable[str | None]) -> Iterator[tuple[str, str]]:
    """The questions and places of keys made by `gap` and `together`, once each."""
    every = dict.fromkeys(one for key in keys if key for one in key.split(", "))
    for one in every:
        ask, _, pointer = one.partition(" ")
        yield ask, pointer


def found_on(owner: str, pointer: str, list_name: str, things: Sequence[tuple[int, Bond | Measurement]]) -> tuple[Found, ...]:
    """Each thing with the name it has, or its place in the list, under its owner; and its JSON Pointer."""
    return tuple(Found(f"{owner}/{thing.id or f'{list_name}-{index}'}", f"{pointer}/{list_name}/{index}", thing) for index, thing in things)


def all_found(owner: str, pointer: str, list_name: str, things: Sequence[Bond | Measurement] | str) -> tuple[Found, ...] | None:
    """The same for a whole list; none where the description says unknown."""
    return None if isinstance(things, str) else found_on(owner, pointer, list_name, list(enumerate(things)))

"""What locations need to know of the rest of the building: its parts, which are bonded, and what the description covers."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.asking import ask_field, ask_keys, ask_open
from bondwright.facts.bonds import JudgedBond
from bondwright.facts.earthings.places import EarthAtPlaces
from bondwright.facts.parts.part import REQUIRED, Part, is_extraneous, required
from bondwright.facts.row import Asked
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either
from bondwright.metalwork.lengths import Survey
from bondwright.metalwork.worlds import near_gaps


@dataclass(frozen=True, slots=True, eq=False)
class Building:
    """The parts of the building as rooms see them, by the part's name where nothing else is said.

    `bonded`: whether a bond on the part itself connects it; `bonded_with_plan`: the same with the connections of the plan made.
    `served_by`: the parts whose connections serve it. `earth`: what locations take from the earthings.
    `by_conductor`: whether a protective conductor is joined to a length, by node.
    What every room asks again is found once: `extraneous`: is a part extraneous; `about_extraneous`, `about_bonds`: what would settle that,
    and whether a bond on the part itself connects it; `about_conductor`: what would settle `by_conductor`, by node.
    """

    parts: Sequence[Part]
    bonded: Mapping[str, Known]
    bonded_with_plan: Mapping[str, Known]
    served_by: Mapping[str, tuple[str, ...]]
    bonds: Mapping[str, tuple[JudgedBond, ...]]
    survey: Survey
    by_conductor: Mapping[str, Known]
    survey_complete: Known
    reasoning: Reasoning
    earth: EarthAtPlaces
    extraneous: Callable[[str], Known] = field(init=False, repr=False)
    about_extraneous: Callable[[str], tuple[Asked, ...]] = field(init=False, repr=False)
    about_bonds: Callable[[str], tuple[Asked, ...]] = field(init=False, repr=False)
    about_conductor: Callable[[str], tuple[Asked, ...]] = field(init=False, repr=False)
    main_bonding: Callable[[bool], Known] = field(init=False, repr=False)
    """Whether main bonding is in place everywhere; given whether with the connections of the plan made."""
    about_main_bonding: Callable[[], tuple[Asked, ...]] = field(init=False, repr=False)
    """What would settle that, as things are."""
    _at: Mapping[str, Part] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Finds the part of each node; the rest when it is first asked for."""
        pack = self.reasoning.pack
        at: dict[str, Part] = {}
        for part in self.parts:
            for node in (*part.run, part.name):
                at.setdefault(node, part)
        gaps = near_gaps(self.survey.graph, "protective_conductor")
        once: Mapping[str, Callable[..., object]] = {
            "extraneous": lambda name: is_extraneous(at[name], pack),
            "about_extraneous": self._about_extraneous,
            "about_bonds": lambda name: tuple(self._about_bonds(at[name])),
            "about_conductor": lambda node: ask_keys(gaps(node), pack),
            "main_bonding": self._main_bonding,
            "about_main_bonding": self._about_main_bonding,
        }
        object.__setattr__(self, "_at", at)
        for name, find in once.items():
            object.__setattr__(self, name, cache(find))

    def of(self, node: str) -> Part | None:
        """The part that a node belongs to."""
        return self._at.get(node)

    def is_bonded(self, part: Part, planned: bool) -> Known:
        """Whether a bond on the part itself connects it; `planned`: with the connections of the plan made."""
        return (self.bonded_with_plan if planned else self.bonded)[part.name]

    def connected(self, part: Part, planned: bool) -> Known:
        """Whether a part is connected to the main bonding; one that others serve may be."""
        bonded = self.is_bonded(part, planned)
        return "unknown" if bonded != "yes" and self.served_by[part.name] else bonded

    def serving(self, part: Part) -> list[Part]:
        """The parts whose connections serve it."""
        return [self._at[name] for name in self.served_by[part.name] if name in self._at]

    def _about_bonds(self, part: Part) -> Iterator[Asked]:
        yield from ask_keys([length.gaps.get("bonds") for length in part.lengths], self.reasoning.pack)
        if part.in_scope:
            for bond in self.bonds[part.name]:
                yield from ask_open(bond.judged, self.reasoning.pack.roles.counts, self.reasoning)

    def _about_extraneous(self, name: str) -> tuple[Asked, ...]:
        part, extraneity = self._at[name], self.reasoning.pack.roles.extraneity
        ladder = self.reasoning.pack.outcomes[extraneity].levels
        doubtful = part.in_scope and self.extraneous(name) == "unknown"
        return ask_open(part.judged, extraneity, self.reasoning, ladder[-1]) if doubtful else ()

    def _main_bonding(self, planned: bool) -> Known:
        return both(self.survey_complete, *(found for _, found in self._in_place(planned)))

    def _in_place(self, planned: bool) -> Iterator[tuple[Part, Known]]:
        """Whether main bonding on each part is as it must be: not called for, or connected, or served by parts that are."""
        pack = self.reasoning.pack
        by_servers = cache(lambda names: both(*(self.connected(self._at[name], planned) for name in names)))
        duty = pack.roles.duty
        top = len(pack.outcomes[duty].levels) - 1
        for part in self.parts:
            if not part.in_scope:
                yield part, "yes" if part.stays_outside else "unknown"
            elif required(part, pack) == "no":
                yield part, "yes"
            elif servers := self.served_by[part.name]:
                yield part, by_servers(servers)
            else:
                level, connected = part.judged.levels[duty], self.connected(part, planned)
                # Packs that do not judge connections waited for a reading.
                certain = (level.certain if pack.places.parts else level.lowest) >= top
                yield part, connected if certain or connected == "yes" else either(connected, "unknown")

    def _about_main_bonding(self) -> tuple[Asked, ...]:
        asked = dict.fromkeys(ask_field("survey_complete", "/survey_complete", self.survey_complete, self.reasoning.pack))
        of_servers = cache(lambda names: tuple(self._about_all(names)))
        for part, found in self._in_place(False):
            if found == "unknown":
                about = (*self._about_duty(part), *self.about_bonds(part.name), *of_servers(self.served_by[part.name]))
                if not about:  # then no answer shows that it is in place everywhere
                    return ask_field("survey_complete", "/survey_complete", self.survey_complete, self.reasoning.pack)
                asked |= dict.fromkeys(about)
        return tuple(asked)

    def _about_duty(self, part: Part) -> tuple[Asked, ...]:
        if part.in_scope:
            return ask_open(part.judged, self.reasoning.pack.roles.duty, self.reasoning, REQUIRED)
        return ask_keys([length.gaps.get("stands_inside") for length in part.lengths], self.reasoning.pack)

    def _about_all(self, names: Iterable[str]) -> Iterator[Asked]:
        return (question for name in names for question in self.about_bonds(name))

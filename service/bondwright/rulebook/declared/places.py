"""Places as a pack declares them: how their facts are worked out, what is their duty, what else is shown of them, and what comes of it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from msgspec import Struct

from bondwright.rulebook.facts import Place as PlaceInFile

Group: TypeAlias = Literal["touched", "items", "circuits"]
"""What stands in a place: the metal that can be touched there a part at a time, its items, its circuits."""
Rank: TypeAlias = Literal["largest", "second_largest", "least"]
ROOM = "room"
ROOM_PART = "room_part"
PLAN = "plan"
"""The act that makes the connections of the plan, among those that free a place."""
ANY = "any"
"""Any act that frees."""

NAMED: Mapping[str, Mapping[str, str]] = {
    ROOM: {
        "kind": "choice",
        "work_alters_circuits": "yes_no",
        "metal_reachable_together": "yes_no",
        "main_bonding_everywhere": "yes_no",
        "every_part_connected": "yes_no",
        "earth": "choice",
        "pme_earth": "yes_no",
        "joined_to_other_earth": "yes_no",
        "ties_carry_fault_current": "yes_no",
        "reaches_other_earth": "yes_no",
        "electrode_tested": "yes_no",
        "voltage_of_electrode": "number",
        "phases": "choice",
    },
    ROOM_PART: {"own_bond": "yes_no", "metal_to_bonded_metal": "yes_no", "limit": "number"},
}
"""What is worked out in general, by what it is of, each with the kind of fact that it gives."""
KIND, ALTERS, TOGETHER, MAIN_BONDING, CONNECTED, *OF_EARTHING = NAMED[ROOM]
OWN_BOND, METAL_PATH, LIMIT = NAMED[ROOM_PART]


class Having(Struct, frozen=True):
    """Holds of a member of which `field` is one of `words`; unknown where that is not known."""

    field: str
    words: tuple[str, ...]


class Named(Struct, frozen=True):
    """What is worked out in general under a name of NAMED."""

    name: str


class Said(Struct, frozen=True):
    """What the description says in a field, its names joined by `/`; a reading of a place is taken as far as the instrument is trusted."""

    path: str


class Some(Struct, frozen=True):
    """Whether some member of a group is so; none at all is no."""

    of: Group
    where: tuple[Having, ...]


class Every(Struct, frozen=True):
    """Whether every member of a group `where` something holds is so; none at all is yes."""

    of: Group
    where: tuple[Having, ...]
    have: tuple[Having, ...]


class Ranked(Struct, frozen=True):
    """The largest, second largest or least of a number of the members of a group where something holds.

    None at all: the least that the fact can be; of the least of a number, anything that it can be.
    """

    rank: Rank
    number: str
    of: Group
    where: tuple[Having, ...]


WorkedOut: TypeAlias = Named | Said | Some | Every | Ranked
"""How a fact of a place, or of a part in it, is worked out."""


class Link(Struct, frozen=True):
    """A size that a duty asks for, of a conductor that joins two of `exposed`, `extraneous` or own words; `words`: what it joins.

    `by`: the fact that is the protective conductor by which it goes, `protected`: the fact whether it will be protected; empty for none.
    """

    size: str
    joins: tuple[str, ...]
    words: str
    by: str = ""
    protected: str = ""


class Duty(Struct, frozen=True):
    """An outcome that is shown as a verdict on a place.

    `inspected`: in an inspection too. `links`: sizes shown where the most cautious level is not excluded. `limit`: the size that a reading
    is judged by, shown from the second level on; so are the parts, by `parts`, the outcome that says whether each is connected.
    `found`: the outcome that says what is there of it, shown where the most cautious level is not excluded or the fact `present` is
    known. `freed_by`: rows of the table of acts after one of which it may be omitted. `where`: the fact that must be yes for
    it to be shown. Empty: none.
    """

    outcome: str
    inspected: bool = True
    links: tuple[Link, ...] = ()
    limit: str = ""
    parts: str = ""
    found: str = ""
    present: str = ""
    freed_by: tuple[str, ...] = ()
    where: str = ""


class PlaceDeclared(Struct, frozen=True):
    """A kind of place: its duties, the first of which names what is to be done, and the outcome that an inspection reports, if any."""

    duties: tuple[Duty, ...]
    report: str = ""

    @property
    def outcomes(self) -> frozenset[str]:
        """Every outcome that is concluded of it."""
        named = {self.report, *(name for duty in self.duties for name in (duty.outcome, duty.limit, duty.parts, duty.found))}
        return frozenset((named | {link.size for duty in self.duties for link in duty.links}) - {""})

    @property
    def limit(self) -> str:
        """The size that readings there are judged by; empty for none."""
        return next((duty.limit for duty in self.duties if duty.limit), "")

    @property
    def parts(self) -> str:
        """The outcome that says whether each part there is connected; empty where that is not judged."""
        return next((duty.parts for duty in self.duties if duty.parts), "")

    @property
    def freed(self) -> Duty | None:
        """The duty that one act may free it from, if any."""
        return next((duty for duty in self.duties if duty.freed_by), None)


class RoomRow(Struct, frozen=True):
    """A row of the table `joined_rooms`: outcomes with the levels that fit, those that must be firm, and the act that frees.

    `once`: empty whatever frees, the name of the act that frees, or any of them.
    """

    levels: Mapping[str, tuple[str, ...]]
    firm: tuple[str, ...]
    once: str
    act: str
    place: PlaceInFile

    def fits(self, levels: Mapping[str, str], firm: Iterable[str], frees: str | None) -> bool:
        """Whether it fits the shown outcomes by level, the first duty of the place first, those of them that are firm, and what frees.

        A row is about the places whose first duty it names.
        """
        return (
            next(iter(levels)) in self.levels
            and all(levels.get(outcome) in fitting for outcome, fitting in self.levels.items())
            and set(self.firm) <= set(firm)
            and self.once in ("", frees, ANY if frees else "")
        )


@dataclass(frozen=True, slots=True)
class Places:
    """What a pack declares of places. `kinds`: of locations that it judges. `facts`: how those of places and of parts there are worked out.

    `unjudged`: the outcomes shown of a location that is not judged, the second in an inspection alone. `rows`: the first that fits
    gives the act. `at`: where each fact stands that is told or worked out; none in a pack that does not declare its places.
    """

    kinds: Mapping[str, PlaceDeclared] = field(default_factory=dict)
    rows: tuple[RoomRow, ...] = ()
    unjudged: tuple[str, ...] = ()
    facts: Mapping[str, WorkedOut] = field(default_factory=dict)
    at: Mapping[str, PlaceInFile] = field(default_factory=dict)
    parts: str = field(init=False, repr=False, compare=False)
    """The outcome that says whether a part in a place is connected; empty where no place judges that."""
    _named: Mapping[WorkedOut, str] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Finds what every evaluation asks for, which was a fifth of a room's (2026-11-30)."""
        named = {form: name for name, form in reversed(tuple(self.facts.items())) if isinstance(form, Named | Said)}
        object.__setattr__(self, "_named", named)
        object.__setattr__(self, "parts", next((place.parts for place in self.kinds.values() if place.parts), ""))

    @property
    def limit(self) -> str:
        """The size that readings are judged by in the first place that has one; empty where none has."""
        return next((place.limit for place in self.kinds.values() if place.limit), "")

    def ranked(self, number: str) -> str:
        """The fact that is the largest of a number of what stands in a place; empty where there is none."""
        forms = self.facts.items()
        return next((name for name, form in forms if isinstance(form, Ranked) and (form.rank, form.number) == ("largest", number)), "")

    def links(self, *joins: str) -> Mapping[str, Link]:
        """The size of a conductor that joins these two, by the kind of each place that asks for one, in the order of the pack."""
        links = ((kind, link) for kind, place in self.kinds.items() for duty in place.duties for link in duty.links)
        return {kind: link for kind, link in links if link.joins == joins}

    def rows_about(self, places: Iterable[PlaceDeclared]) -> tuple[RoomRow, ...]:
        """The rows of acts that may fit one of these places."""
        known = [(place.duties[0].outcome, place.outcomes) for place in places if place.duties]
        return tuple(row for row in self.rows if any(first in row.levels and row.levels.keys() <= has for first, has in known))

    def fact(self, form: Named | Said) -> str:
        """The fact that is worked out so; empty where there is none."""
        return self._named.get(form, "")

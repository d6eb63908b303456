"""What locations need to know of the rest of the building: its parts, which are bonded, and what the description covers."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.asking import ask_keys, ask_open
from bondwright.facts.bonds import CONNECTION as BOND_CONNECTION
from bondwright.facts.bonds import JudgedBond
from bondwright.facts.parts.part import DUTY, Part, required
from bondwright.facts.row import Asked
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either
from bondwright.metalwork.lengths import Survey
from bondwright.rulebook.pack import RulePack

CONNECTION = "connection"
"""The outcome that says how a part in a room is shown to be connected."""


@dataclass(frozen=True, slots=True)
class Building:
    """The parts of the building as rooms see them, by the part's name where nothing else is said.

    `bonded`: whether a bond on the part itself connects it; `bonded_with_plan`: the same with the connections of the plan made.
    `served_by`: the parts whose connections serve it. `by_conductor`: whether a protective conductor is joined to a length, by node.
    """

    parts: Sequence[Part]
    bonded: Mapping[str, Known]
    bonded_with_plan: Mapping[str, Known]
    served_by: Mapping[str, tuple[str, ...]]
    bonds: Mapping[str, tuple[JudgedBond, ...]]
    survey: Survey
    by_conductor: Mapping[str, Known]
    survey_complete: Known

    def of(self, node: str) -> Part | None:
        """The part that a node belongs to."""
        return next((part for part in self.parts if node in part.run or node == part.name), None)

    def is_bonded(self, part: Part, planned: bool) -> Known:
        """Whether a bond on the part itself connects it; `planned`: with the connections of the plan made."""
        return (self.bonded_with_plan if planned else self.bonded)[part.name]

    def connected(self, part: Part, planned: bool) -> Known:
        """Whether a part is connected to the main bonding; one that others serve may be."""
        bonded = self.is_bonded(part, planned)
        return "unknown" if bonded != "yes" and self.served_by[part.name] else bonded

    def serving(self, part: Part) -> list[Part]:
        """The parts whose connections serve it."""
        servers = (self.of(name) for name in self.served_by[part.name])
        return [server for server in servers if server is not None]

    def about_bonds(self, part: Part, reasoning: Reasoning) -> Iterator[Asked]:
        """What would settle whether a bond on the part itself connects it."""
        yield from ask_keys([length.gaps.get("bonds") for length in part.lengths], reasoning.pack)
        if part.in_scope:
            for bond in self.bonds[part.name]:
                yield from ask_open(bond.judged, BOND_CONNECTION, reasoning)


def in_place(part: Part, building: Building, planned: bool, pack: RulePack) -> Known:
    """Whether main bonding on this part is as it must be: not called for, or connected, or served by parts that are."""
    if not part.in_scope:
        return "yes" if part.stays_outside else "unknown"
    duty = required(part, pack)
    if duty == "no":
        return "yes"
    level = part.judged.levels[DUTY]
    stands = level.certain if CONNECTION in pack.outcomes else level.lowest  # packs that do not judge connections waited for a reading
    certain = stands >= len(pack.outcomes[DUTY].levels) - 1
    if building.served_by[part.name]:
        return both(*(building.connected(server, planned) for server in building.serving(part)))
    connected = building.connected(part, planned)
    return connected if certain or connected == "yes" else either(connected, "unknown")

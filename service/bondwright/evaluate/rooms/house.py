"""What locations need to know of the rest of the building."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from bondwright.evaluate.acts import Act
from bondwright.evaluate.answer import Question
from bondwright.evaluate.bonds import CONNECTION as BOND_CONNECTION
from bondwright.evaluate.bonds import SERVING, JudgedBond
from bondwright.evaluate.parts import DUTY, EXTRANEOUS, Part, required, stays_outside
from bondwright.evaluate.reasoning.questions import open_questions, questions_of
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either
from bondwright.metalwork.lengths import Survey
from bondwright.rulebook.pack import RulePack

CONNECTION = "connection"
"""The outcome that says how a part in a room is shown to be connected."""


@dataclass(frozen=True, slots=True)
class House:
    """What rooms need to know of the rest: parts, what to do about each, which are bonded, and what the description covers.

    `bonds`: by the part's name. `by_conductor`: whether a protective conductor is joined to a length, by node.
    """

    parts: Sequence[Part]
    acts: Mapping[str, Act]
    states: Mapping[str, str]
    bonds: Mapping[str, tuple[JudgedBond, ...]]
    found: Survey
    by_conductor: Mapping[str, Known]
    survey_complete: Known

    def of(self, node: str) -> Part | None:
        """The part that a node belongs to."""
        return next((part for part in self.parts if node in part.run or node == part.subject.name), None)

    def bonded(self, part: Part, planned: bool) -> Known:
        """Whether a bond on the part itself connects it; `planned`: with the connections of the plan made."""
        name = part.subject.name
        if self.states[name] in SERVING or (planned and self.acts[name].advice.mark in ("do", "measure_first")):
            return "yes"
        return "no" if part.judged and part.bonds_known and self.states[name] != "cannot_rely" else "unknown"

    def connected(self, part: Part, planned: bool) -> Known:
        """Whether a part is connected to the main bonding; one that others serve may be."""
        bonded = self.bonded(part, planned)
        return "unknown" if bonded != "yes" and self.acts[part.subject.name].covered_by else bonded

    def about_bonds(self, part: Part, pack: RulePack) -> Iterator[Question]:
        """What would settle whether a bond on the part itself connects it."""
        yield from questions_of([length.gaps.get("bonds") for length in part.lengths], pack)
        if part.judged:
            for bond in self.bonds[part.subject.name]:
                yield from open_questions(bond.subject, BOND_CONNECTION, pack)


def is_extraneous(part: Part, pack: RulePack) -> Known:
    """Whether a part is extraneous; nobody knows where no rule covers it."""
    if not part.judged:
        return "unknown"
    top = len(pack.outcomes[EXTRANEOUS].levels) - 1
    level = part.subject.levels[EXTRANEOUS]
    return "yes" if level.settled >= top else "unknown" if level.worst_case >= top else "no"


def in_place(part: Part, house: House, planned: bool, pack: RulePack) -> Known:
    """Whether main bonding on this part is as it must be: not called for, or connected, or served by parts that are."""
    if not part.judged:
        return "yes" if stays_outside(part) else "unknown"
    duty = required(part, pack)
    if duty == "no":
        return "yes"
    level = part.subject.levels[DUTY]
    stands = level.settled if CONNECTION in pack.outcomes else level.lowest  # packs that do not judge connections waited for a reading
    certain = stands >= len(pack.outcomes[DUTY].levels) - 1
    servers = [house.of(name) for name in house.acts[part.subject.name].covered_by]
    if servers:
        return both(*(house.connected(one, planned) for one in servers if one is not None))
    connected = house.connected(part, planned)
    return connected if certain or connected == "yes" else either(connected, "unknown")

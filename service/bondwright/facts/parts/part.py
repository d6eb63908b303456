"""A part: a length of metalwork that is certainly continuous, and what was concluded of it."""

from collections.abc import Sequence

from msgspec import Struct

from bondwright.conclude.reasoning import Reasoning
from bondwright.facts.asking import ask_open
from bondwright.facts.row import Asked, Judged, at_least
from bondwright.installation.proof import Bond, Measurement
from bondwright.metalwork.graph import Known, Run
from bondwright.metalwork.lengths import Length, Noted
from bondwright.rulebook.pack import RulePack

PART = "part"
REQUIRED = "required"


class Part(Struct, frozen=True):
    """A part: its run in the graph (empty for plastic), its lengths, and what was concluded of it.

    `in_scope`: whether the rules of the pack cover it.
    """

    run: Run
    lengths: tuple[Length, ...]
    judged: Judged
    in_scope: bool = True

    @property
    def name(self) -> str:
        """Its name in the answer: the node of its first length."""
        return self.judged.name

    @property
    def head(self) -> Length:
        """The length that the part is named after."""
        return self.lengths[0]

    @property
    def bonds(self) -> tuple[Noted[Bond], ...]:
        """Every bond found on it."""
        return tuple(bond for length in self.lengths for bond in length.noted.bonds or ())

    @property
    def measurements(self) -> tuple[Noted[Measurement], ...]:
        """Every reading taken on it."""
        return tuple(reading for length in self.lengths for reading in length.noted.measurements)

    @property
    def bonds_known(self) -> bool:
        """Whether the description says of every length which bonds it has."""
        return all(length.noted.bonds is not None for length in self.lengths)

    @property
    def stays_outside(self) -> bool:
        """Whether it is certain that none of it stands inside the building."""
        return self.judged.facts.get("stands_inside") == "no"

    @property
    def surely_shared(self) -> bool:
        """Whether it is certain that it is metal that reaches another installation."""
        return self.judged.facts["metal"] == "yes" and self.judged.facts["reaches_other_installation"] == "yes"


def called_for(part: Judged, pack: RulePack) -> Known:
    """Whether main bonding is called for on a part that the pack judges."""
    return at_least(part, pack.roles.duty, REQUIRED, pack)


def required(part: Part, pack: RulePack) -> Known:
    """Whether main bonding is called for on a part; nobody knows where no rule covers it."""
    return called_for(part.judged, pack) if part.in_scope else "unknown"


def is_extraneous(part: Part, pack: RulePack) -> Known:
    """Whether a part is extraneous; nobody knows where no rule covers it."""
    extraneity = pack.roles.extraneity
    return at_least(part.judged, extraneity, pack.outcomes[extraneity].levels[-1], pack) if part.in_scope else "unknown"


def about_duty(parts: Sequence[Part], reasoning: Reasoning) -> tuple[Asked, ...]:
    """What would settle whether main bonding is called for on any part, where one alone is in doubt; else each part asks for itself."""
    doubtful = [part for part in parts if required(part, reasoning.pack) == "unknown"]
    if len(doubtful) == 1 and doubtful[0].in_scope:
        return ask_open(doubtful[0].judged, reasoning.pack.roles.duty, reasoning, REQUIRED)
    return ()

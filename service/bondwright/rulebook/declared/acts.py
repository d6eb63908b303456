"""What a pack says to do: from duty and objection to one act, and what is told of it."""

from dataclasses import dataclass, field

from msgspec import Struct

from bondwright.rulebook.facts import Place

INSTRUCTIONS = (
    "leave",
    "keep",
    "put_right_if_kept",
    "look",
    "measure",
    "put_right",
    "connect",
    "protect",
    "protect_and_look",
    "protect_and_connect",
    "ask",
    "do_not_connect",
    "remove",
    "stop",
    "not_judged",
)
"""What programs do with an act, whatever the pack calls it: a closed list, see `instructions` in `read-by-name.yaml`."""
OF_EARTHINGS = "earthing_"
"""What the act for a further earthing begins with; behind it stands what is safe to act on, or AGAIN."""
AGAIN = "measure_again"
"""What stands there where no answer would tell, only another reading."""
STOP = "stop"
"""What a program does with an act of which nothing is known."""


@dataclass(frozen=True, slots=True)
class Advice:
    """What to tell people when a joined outcome comes to one act.

    `mark`: do, leave, do_not_connect, measure_first, settle_first, stop, remove or not_judged. `line`: the first line, with {part},
    {place} and {size}. `customer`: one sentence for the customer. `ways_out`: what would change it, one a line. `tests`: checks to
    make, one a line, with the same placeholders. `verdict`: with the mark not_judged, what each verdict is called on paper.
    `if_shared`: the act in its place on metal that may be shared with another installation, which no reading frees; empty: the same.
    `instruction`: what programs do with it, one of INSTRUCTIONS. `place`: where it stands; none for one that the pack was read with.
    """

    act: str
    mark: str
    line: str
    customer: str
    ways_out: tuple[str, ...]
    tests: tuple[str, ...]
    verdict: str = ""
    if_shared: str = ""
    instruction: str = STOP
    place: Place | None = field(default=None, compare=False, repr=False)


class JoinedRow(Struct, frozen=True):
    """A row of the table `joined`, from duty and objection to one act; the first row that fits is used.

    `duty`, `objection`: the level names that fit (empty: any). `duty_firm`, `objection_firm`: yes, no or any. `bond`: the
    states that fit (none, not_told, counts, departs, mend, cannot_rely, failed, covered; empty: any).
    """

    duty: tuple[str, ...]
    duty_firm: str
    objection: tuple[str, ...]
    bond: tuple[str, ...]
    act: str
    place: Place
    objection_firm: str = "any"

    def fits(self, duty: str, objection: str, bond: str, duty_firm: str, objection_firm: str) -> bool:
        """Whether the row fits these levels, firm (yes, no) or not, and this state of the bond."""
        return (
            (not self.duty or duty in self.duty)
            and self.duty_firm in ("any", duty_firm)
            and (not self.objection or objection in self.objection)
            and self.objection_firm in ("any", objection_firm)
            and (not self.bond or bond in self.bond)
        )

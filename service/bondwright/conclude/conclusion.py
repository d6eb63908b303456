"""What rules conclude of one row: for each outcome a level on its ladder, or a size."""

from collections.abc import Mapping

from msgspec import Struct, field

from bondwright.rulebook.facts import Facts
from bondwright.rulebook.meaning import Acts


class Level(Struct, frozen=True):
    """Where an outcome stands on its ladder, as indexes.

    `worst_case`: the most cautious one that is not excluded. `certain`: the lowest that missing facts could still bring about,
    readings that nobody must make set aside. `lowest`: the lowest at all.
    """

    worst_case: int
    certain: int
    lowest: int

    @property
    def firm(self) -> bool:
        """Whether no missing fact could bring about a lower level."""
        return self.certain >= self.worst_case


class Size(Struct, frozen=True):
    """What a number can be, with a usable provisional value where a rule provides one."""

    lowest: float
    highest: float
    provisional: float | None

    @property
    def firm(self) -> bool:
        """Whether only one value is left."""
        return self.lowest == self.highest


class Conclusion(Struct, frozen=True, eq=False):
    """What the rules of a pack conclude of one row about a kind of subject; two are the same only if they are one object.

    `facts`: the row, with each outcome from its lowest level to its worst case. `certain`: the same, from its certain level.
    `acts`: the rules that act, of all stages. `alike`: stands for all rows that no rule could tell from this one, whatever else were known.
    """

    of: str
    facts: Facts
    certain: Facts
    levels: Mapping[str, Level]
    sizes: Mapping[str, Size]
    acts: Acts
    alike: object = field(default_factory=object)

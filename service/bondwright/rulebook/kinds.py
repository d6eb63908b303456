"""Kinds of things that descriptions name, and which of them a pack judges."""

from collections.abc import Mapping
from typing import Literal, TypeAlias

from msgspec import Struct, field

from bondwright.rulebook.facts import Place

KindOf: TypeAlias = Literal["location", "item", "service", "premises", "earthing"]
"""What is of a kind; of an earthing what it rests on, of which no pack has a table."""

TABLES: Mapping[KindOf, str] = {
    "location": "room_kinds",
    "item": "item_kinds",
    "service": "service_kinds",
    "premises": "premises_kinds",
}
"""The property table that has a row for each kind."""


class Governed(Struct, frozen=True):
    """What is known of a kind that a pack does not judge.

    `section`: number of the part of the standard that governs it, empty where none does. `governed_by`: the same as people say it,
    with any other standard. `known`: what is known to be special about it. `ask`: whom to ask. `source`, `basis`, `confidence`: what
    that rests on, as for a rule.
    """

    section: str
    governed_by: str
    known: str
    ask: str
    source: str
    basis: str
    confidence: str


class Kind(Struct, frozen=True):
    """A kind as a pack has it. `row`: its row in the table, empty where the pack has none. `governed`: none where it is judged.

    `place`: of the row, or of the general words.
    """

    of: KindOf
    name: str
    governed: Governed | None
    place: Place
    row: Mapping[str, str] = field(default_factory=dict)

    @property
    def judged(self) -> bool:
        """Whether the pack has rules for it."""
        return self.governed is None

    @property
    def rule_id(self) -> str:
        """What answers call the reason that it is not judged."""
        return f"{self.of}-{self.name}-not-judged"

    def word(self, column: str, otherwise: str) -> str:
        """What its row says in a column, where it does."""
        return self.row.get(column, otherwise)


class Kinds(Struct, frozen=True):
    """The kinds of a pack, and what is said of one that it has no row for. `declared`: whether the pack itself says which it judges.

    `facts`: by what is of a kind, the fact whose choices are the judged kinds, so that no rule can test another.
    """

    rows: Mapping[KindOf, Mapping[str, Kind]]
    general: Governed
    place: Place
    declared: bool = False
    facts: Mapping[KindOf, str] = field(default_factory=dict)

    def kind(self, of: KindOf, name: str) -> Kind:
        """A kind as the pack has it; one that it has no row for is not judged."""
        return self.rows.get(of, {}).get(name) or Kind(of, name, self.general, self.place)

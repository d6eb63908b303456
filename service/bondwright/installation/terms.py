"""The terms of descriptions: the words that may stand at a choice, and the facts that may be told of a thing, as rule packs have them."""

from collections.abc import Mapping
from typing import Any, Literal, TypeAlias

from msgspec import Struct, field

Thing: TypeAlias = Literal["location", "item", "service", "circuit"]
"""What facts may be told of."""
THINGS: tuple[Thing, ...] = ("location", "item", "service", "circuit")


class ToldFact(Struct, frozen=True):
    """A fact that may be told.

    `words`: what may be said, unknown left out; none of a number alone. `unit`: of a number, which lies from `lowest` to `highest`;
    empty where no number is told. `ask`: the question to put to a person.
    """

    name: str
    words: tuple[str, ...]
    unit: str
    lowest: float
    highest: float
    meaning: str
    ask: str


class Terms(Struct, frozen=True, eq=False):
    """What descriptions may say. `choices`: words by what they are of; `told`: facts by name, by the thing that they are told of.

    `called`: what packs call a word where they say more than it does, by what it is of, then by the word. `example`: a description, to
    be shown.
    """

    choices: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    told: Mapping[Thing, Mapping[str, ToldFact]] = field(default_factory=dict)
    called: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    example: Mapping[str, Any] = field(default_factory=dict)

    def words(self, of: str) -> tuple[str, ...]:
        """The words that may stand at a choice; none where nothing has any."""
        return self.choices.get(of, ())

    def facts(self, thing: Thing) -> Mapping[str, ToldFact]:
        """The facts that may be told of a thing, by name."""
        return self.told.get(thing, {})


NO_TERMS = Terms()
"""For documents in which neither such a choice nor a told fact stands."""

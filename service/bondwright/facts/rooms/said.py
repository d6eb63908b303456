"""What a thing in a room says: in fields of its own, and as facts that the pack has told of such a thing."""

from collections.abc import Mapping
from typing import Protocol

from bondwright.facts.asking import ask_field
from bondwright.facts.row import Asked
from bondwright.facts.told import told_of
from bondwright.installation.rooms import Circuit, RoomService
from bondwright.installation.terms import Thing
from bondwright.installation.words import Described, ToldFacts
from bondwright.rulebook.facts import UNKNOWN, Between, FactDefinition, FactValue
from bondwright.rulebook.pack import RulePack


class Telling(Protocol):
    """A described thing of which facts are told."""

    @property
    def told(self) -> ToldFacts:
        """Those facts by name."""


def thing_of(said: Described) -> Thing:
    """Which thing of a room something is."""
    return "circuit" if isinstance(said, Circuit) else "service" if isinstance(said, RoomService) else "item"


def said_word(said: Described, field: str, told: Mapping[str, FactValue]) -> str:
    """What a thing says in a field of its own, or what is told of it under that name; unknown where it says nothing."""
    word = getattr(said, field) if field in type(said).model_fields else told.get(field, UNKNOWN)
    return word if isinstance(word, str) else UNKNOWN


def said_number(field: str, told: Mapping[str, FactValue], fact: FactDefinition) -> Between:
    """A number that is told of a thing, within the range of `fact`, which is worked out of it."""
    value = told.get(field)
    if not isinstance(value, Between):
        return Between(fact.lowest, fact.highest)
    return Between(min(max(value.lowest, fact.lowest), fact.highest), max(min(value.highest, fact.highest), fact.lowest))


def ask_told(thing: Thing, said: Telling, fact: FactDefinition, kind: str, pointer: str, pack: RulePack) -> tuple[Asked, ...]:
    """The question about a fact that may be told of a thing; none where it is told, or not asked in a location of that kind."""
    if thing not in fact.told or (fact.only_in and kind not in fact.only_in):
        return ()
    value = told_of(thing, said.told, kind, pack).get(fact.name, UNKNOWN)
    return ask_field(fact.name, f"{pointer}/told/{fact.name}", value, pack)

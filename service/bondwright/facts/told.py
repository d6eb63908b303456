"""Facts that a description tells as they stand, as far as the pack that judges has them told of such a thing."""

from collections.abc import Iterator, Sequence
from typing import Literal, TypeAlias, TypeVar

from bondwright.facts.parts.readings import resistance_between
from bondwright.installation.description import Installation
from bondwright.installation.terms import Thing
from bondwright.installation.words import ToldFacts
from bondwright.members import Described
from bondwright.rulebook.facts import NO, UNKNOWN, YES, Between, FactDefinition, FactValue
from bondwright.rulebook.pack import RulePack

WhyNot: TypeAlias = Literal["not_in_pack", "not_in_such_a_location", "not_such_a_value"]
"""Why a told fact is not used: the pack does not have it told of such a thing, not in a location of that kind, or takes no such value."""

_Thing = TypeVar("_Thing")


class ToldNotUsed(Described, frozen=True):
    """A fact that was told in the description, at `pointer`, and is not used.

    `why`: `not_in_pack`, if the rule pack does not ask it of such a thing; `not_in_such_a_location`, if not in a location of
    that kind, or outside any; `not_such_a_value`, if it takes no such value. What it would have decided is not judged.
    """

    pointer: str
    fact: str
    why: str


def told_of(thing: Thing, told: ToldFacts, location: str, pack: RulePack) -> dict[str, FactValue]:
    """What is told of a thing and known, by fact. `location`: the kind of location that it is, or is in; empty where it is in none."""
    found = {name: _value(name, said, pack) for name, said in told.items() if _why_not(thing, name, location, pack) is None}
    return {name: value for name, value in found.items() if value is not None}


def not_used(thing: Thing, told: ToldFacts, location: str, pointer: str, pack: RulePack) -> Iterator[ToldNotUsed]:
    """What is told of the thing that stands at `pointer`, and is not used."""
    for name, said in told.items():
        why = _why_not(thing, name, location, pack)
        if why is None and said != UNKNOWN and _value(name, said, pack) is None:
            why = "not_such_a_value"
        if why is not None:
            yield ToldNotUsed(f"{pointer}/told/{name}", name, why)


def unused(installation: Installation, pack: RulePack) -> Iterator[ToldNotUsed]:
    """What is told anywhere in a description and is not used, in its order."""
    for thing, told, location, pointer in _told_in(installation):
        if told:
            yield from not_used(thing, told, location, pointer, pack)


def _told_in(installation: Installation) -> Iterator[tuple[Thing, ToldFacts, str, str]]:
    """Each thing of which something can be told: what it is, that, the kind of location that it is in, and its place."""
    for name, services in (("services", installation.services), ("detailed_services", installation.detailed_services)):
        yield from (("service", one.told, "", f"/{name}/{number}") for number, one in enumerate(services))
    yield from (("item", one.told, "", f"/items/{number}") for number, one in enumerate(installation.items))
    for number, location in enumerate(installation.locations):
        kind, place = location.kind, f"/locations/{number}"
        yield "location", location.told, kind, place
        yield from (("service", one.told, kind, f"{place}/services/{index}") for index, one in enumerate(_there(location.services)))
        yield from (("item", one.told, kind, f"{place}/items/{index}") for index, one in enumerate(_there(location.items)))
        yield from (("circuit", one.told, kind, f"{place}/circuits/{index}") for index, one in enumerate(_there(location.circuits)))


def _there(things: Sequence[_Thing] | str) -> Sequence[_Thing]:
    return () if isinstance(things, str) else things


def _why_not(thing: Thing, name: str, location: str, pack: RulePack) -> WhyNot | None:
    """Why nothing that is told of such a thing by that name is used, if that is so."""
    fact = pack.facts.get(name)
    if fact is None or thing not in fact.told:
        return "not_in_pack"
    if not location or (fact.only_in and location not in fact.only_in):
        return "not_in_such_a_location"  # nothing is told of metal as such, wherever it stands: no rule of parts would see it
    return None


def _value(name: str, said: str | float, pack: RulePack) -> FactValue | None:
    """What was said as the fact has it; nothing where it says nothing, or what the fact does not take."""
    fact = pack.facts[name]
    if not isinstance(said, str):
        return Between(said, said) if fact.kind == "number" and fact.lowest <= said <= fact.highest else None
    if " " in said:  # a reading, for no choice has a space
        return _read(said, fact, pack) if fact.unit == "ohm" else None
    return said if said in ((YES, NO) if fact.kind == "yes_no" else fact.choices) else None


def _read(said: str, fact: FactDefinition, pack: RulePack) -> Between | None:
    """What a reading shows of a fact, as far as the instrument can be trusted; nothing where that lies beyond its range."""
    value = resistance_between(said, pack)
    if value is None or value.highest < fact.lowest or value.lowest > fact.highest:
        return None
    return Between(max(value.lowest, fact.lowest), min(value.highest, fact.highest))

"""Facts of a room that its pack declares as worked out: over the members of one group in it, with what would tell each that is open."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import product
from math import prod
from typing import Protocol, TypeAlias

from msgspec import Struct

from bondwright.conclude.conclusion import Level
from bondwright.facts.row import Asked
from bondwright.metalwork.graph import Known
from bondwright.metalwork.known import both, either, opposite
from bondwright.rulebook.declared.places import Every, Group, Having, Ranked, Some
from bondwright.rulebook.facts import UNKNOWN, Between, FactDefinition, FactValue
from bondwright.rulebook.pack import RulePack


class Member(Protocol):
    """Something that stands in a room, of which can be asked what the forms of `from` name."""

    def word(self, field: str) -> str:
        """What it is in a field, or unknown."""

    def levels(self, field: str) -> Level | None:
        """What is concluded of it, where the field is an outcome."""

    def number(self, field: str, fact: FactDefinition) -> Between:
        """A number of it, within the range of the fact that is worked out."""

    def could_be(self, field: str, fact: FactDefinition) -> Sequence[Between] | None:
        """What answers can make of that number; none where that may be anything in its range."""

    def asked(self, field: str, fact: str) -> tuple[Asked, ...]:
        """What would tell it, asked for the fact that is worked out; nothing where it is told."""


class Members(Struct, frozen=True):
    """The members of one group; none where nobody described them, and then what is asked for them by the fact that is worked out."""

    members: Sequence[Member] | None
    about: Callable[[], tuple[Asked, ...]]


Groups: TypeAlias = Mapping[Group, Members]
_MOST_WAYS = 100
"""Up to so many combinations of answers about the members of a group are worked out."""


def worked_out(form: Some | Every | Ranked, fact: FactDefinition, groups: Groups, pack: RulePack) -> FactValue:
    """The value of a fact; unknown where the group is not described."""
    members = groups[form.of].members
    if members is None:
        return fact.unknown()
    match form:
        case Some(_, where):
            return either(*(_holds(member, where, pack) for member in members))
        case Every(_, where, have):
            return both("yes", *(either(opposite(_holds(one, where, pack)), _holds(one, have, pack)) for one in members))
        case Ranked():
            return _ranked(form, fact, members, pack)


def asked(form: Some | Every | Ranked, fact: FactDefinition, groups: Groups, pack: RulePack) -> Iterator[Asked]:
    """The questions behind it: for the group, if it is not described, else for what is open of each member."""
    group = groups[form.of]
    yield from group.about()
    for member in group.members or ():
        applies = _holds(member, form.where, pack)
        if applies == "unknown":
            yield from _of(member, form.where, fact, pack)
        if applies != "no" and isinstance(form, Every) and _holds(member, form.have, pack) == "unknown":
            yield from _of(member, form.have, fact, pack)
        if applies != "no" and isinstance(form, Ranked):
            yield from member.asked(form.number, fact.name)


def possible(form: Ranked, fact: FactDefinition, groups: Groups, pack: RulePack) -> tuple[FactValue, ...] | None:
    """What answers about each member can make of a number; none where that may be anything in its range, or takes too many answers."""
    ways = list[list[tuple[Between, Known]]]()
    for member in groups[form.of].members or ():
        holds = _holds(member, form.where, pack)
        numbers = () if holds == "no" else member.could_be(form.number, fact)
        if numbers is None:
            return None
        left_out: list[tuple[Between, Known]] = [] if holds == "yes" else [(Between(fact.lowest, fact.highest), "no")]
        ways.append([*((number, "yes") for number in numbers), *left_out])
    if groups[form.of].members is None or prod(map(len, ways)) > _MOST_WAYS:
        return None
    return tuple(dict.fromkeys(_rank(form, fact, held) for held in product(*ways)))


def _of(member: Member, conditions: Sequence[Having], fact: FactDefinition, pack: RulePack) -> Iterator[Asked]:
    for condition in conditions:
        if _is(member, condition, pack) == "unknown":
            yield from member.asked(condition.field, fact.name)


def _holds(member: Member, conditions: Sequence[Having], pack: RulePack) -> Known:
    return both("yes", *(_is(member, condition, pack) for condition in conditions))


def _is(member: Member, condition: Having, pack: RulePack) -> Known:
    if condition.field in pack.outcomes:
        return _is_level(member.levels(condition.field), pack.outcomes[condition.field].levels, condition.words)
    word = member.word(condition.field)
    return "unknown" if word == UNKNOWN else "yes" if word in condition.words else "no"


def _is_level(level: Level | None, ladder: Sequence[str], words: Sequence[str]) -> Known:
    """Whether what is concluded is one of these levels, whichever of those still possible it is."""
    possible = ladder if level is None else ladder[min(level.lowest, level.worst_case) : level.worst_case + 1]
    among = [name in words for name in possible]
    return "yes" if all(among) else "unknown" if any(among) else "no"


def _ranked(form: Ranked, fact: FactDefinition, members: Sequence[Member], pack: RulePack) -> Between:
    """From what those that surely count come to at least, to what all come to that may count."""
    return _rank(form, fact, [(member.number(form.number, fact), _holds(member, form.where, pack)) for member in members])


def _rank(form: Ranked, fact: FactDefinition, held: Sequence[tuple[Between, Known]]) -> Between:
    sure = [number for number, holds in held if holds == "yes"]
    perhaps = [number for number, holds in held if holds != "no"]
    if form.rank == "least":
        if not perhaps:
            return Between(fact.lowest, fact.highest)
        return Between(min(number.lowest for number in perhaps), min((number.highest for number in sure), default=fact.highest))
    passed_over = -1 if form.rank == "second_largest" else None
    lows = sorted(number.lowest for number in sure)[:passed_over]
    highs = sorted(number.highest for number in perhaps)[:passed_over]
    return Between(max(lows, default=fact.lowest), max(highs, default=fact.lowest))

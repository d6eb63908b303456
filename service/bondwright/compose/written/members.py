"""What each member of a shape of the answer holds, by its declared type: a sentence, other shapes, or a value of its own."""

from collections.abc import Collection, Mapping
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Union, get_args, get_origin, get_type_hints

from msgspec import Struct

from bondwright.compose.answer import BondAnswer, Evaluation, PartAnswer, Question, RoomAnswer, SizeVerdict, Verdict
from bondwright.compose.listed import Group
from bondwright.conclude.reasons import Reason
from bondwright.members import is_shape, replace
from bondwright.said import MAY_BE_EMPTY, SENTENCE

TABLES: Mapping[Any, str] = {
    Verdict: "verdicts",
    SizeVerdict: "sizes",
    Reason: "reasons",
    Question: "questions",
    SENTENCE: "sentences",
}
"""The table of the answer in which each stands once, by what it is; wherever else it belongs stands its place in there, from 0."""


class Member(Struct, frozen=True):
    """A member of a shape. `holds`: SENTENCE, a shape, or none for a value of its own; `many`: a list of such.

    `may_lack`: it is left out where there is nothing, or nothing in it; `optional`: then there is none of it.
    """

    name: str
    holds: Any
    many: bool
    may_lack: bool
    optional: bool = False

    @property
    def table(self) -> str | None:
        """The table in which what it holds stands once, if it does."""
        return TABLES.get(self.holds)


_ALWAYS_THERE: Mapping[type, Collection[str]] = {
    Evaluation: ("not_judged", "groups", "parts", "rooms", "choices", "cautions"),
    Group: ("parts",),
    **dict.fromkeys((PartAnswer, BondAnswer, RoomAnswer), ("verdicts",)),
}
"""Lists that are there though nothing is in them, by the shape that has them."""


@cache
def members_of(shape: type) -> tuple[Member, ...]:
    """The members of a shape, in their order."""
    found = (_member(name, declared) for name, declared in get_type_hints(shape, include_extras=True).items())
    return tuple(replace(one, may_lack=False) if one.name in _ALWAYS_THERE.get(shape, ()) else one for one in found)


@cache
def shapes_in(shape: type) -> tuple[type, ...]:
    """The shape and all that it holds, each once."""
    found = {shape: None}
    for member in members_of(shape):
        if isinstance(member.holds, type):
            found |= dict.fromkeys(shapes_in(member.holds))
    return tuple(found)


def _member(name: str, declared: Any) -> Member:
    of = get_origin(declared)
    if of in (Union, UnionType):
        (inner,) = (one for one in get_args(declared) if one is not NoneType)
        return Member(name, _held(inner), False, True, optional=True)
    if of is tuple:
        return Member(name, _held(get_args(declared)[0]), True, True)
    if of is Mapping:
        return Member(name, None, False, True)
    return Member(name, _held(declared), False, of is Annotated and MAY_BE_EMPTY in get_args(declared))


def _held(declared: Any) -> Any:
    if get_origin(declared) is Annotated and SENTENCE in get_args(declared):
        return SENTENCE
    return declared if is_shape(declared) else None

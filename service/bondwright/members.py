"""The members of a value, whether it is a dataclass or a struct.

What `asdict` writes out, and what works some of its members out, is a dataclass. All else is a struct: made nine times and declared
thirty times as fast (2026-12-01), which is much of a start and some of every evaluation. What the document describes is a `Described` one.
"""

import dataclasses
from functools import cache
from typing import TYPE_CHECKING, Any, TypeVar, get_type_hints

from msgspec import NODEFAULT, Struct, structs

if TYPE_CHECKING:
    from dataclasses import replace as replace  # which knows the members of either
else:
    _One = TypeVar("_One")

    def replace(value: _One, /, **changes: Any) -> _One:
        """A copy of the value with these members changed. Raises: TypeError, for a member that it does not have."""
        return (structs.replace if isinstance(value, Struct) else dataclasses.replace)(value, **changes)


def member_names(value: Any) -> tuple[str, ...]:
    """The names of the members that a value is made of, in order; none of a value without named members, and of a class.

    >>> from bondwright.rulebook.pack import Source
    >>> member_names(Source("book", "A book", "")), member_names("book")
    (('name', 'title', 'note'), ())
    """
    if isinstance(value, Struct):
        return value.__struct_fields__
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return tuple(field.name for field in dataclasses.fields(value) if field.init)
    return ()


class Described(Struct, frozen=True):
    """A struct that pydantic describes as it does a dataclass with the same members."""

    @classmethod
    def __get_pydantic_core_schema__(cls, _: Any, handler: Any) -> Any:
        """See pydantic."""
        return handler(described_as(cls))


@cache
def described_as(shape: type[Described]) -> type:
    """The dataclass as which pydantic describes a struct: its name, what it says of itself, its members and their defaults."""
    hints = get_type_hints(shape, include_extras=True)
    members = [(one.name, hints[one.name], _default(one)) for one in structs.fields(shape)]
    about = {"__doc__": shape.__doc__, "__module__": shape.__module__}
    return dataclasses.make_dataclass(shape.__name__, members, frozen=True, namespace=about)


def _default(member: structs.FieldInfo) -> Any:
    if member.default_factory is not NODEFAULT:
        return dataclasses.field(default_factory=member.default_factory)
    return dataclasses.field() if member.default is NODEFAULT else dataclasses.field(default=member.default)


def is_shape(declared: Any) -> bool:
    """Whether that is a class of values with named members."""
    return isinstance(declared, type) and (issubclass(declared, Struct) or dataclasses.is_dataclass(declared))

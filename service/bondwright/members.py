"""The members of a value, whether it is a dataclass or a struct.

What is written out or described, and what works some of its members out, is a dataclass, as pydantic and `asdict` want it. All else is a
struct: made nine times and declared thirty times as fast (2026-12-01), which is much of a start and some of every evaluation.
"""

import dataclasses
from typing import TYPE_CHECKING, Any, TypeVar

from msgspec import Struct, structs

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

"""What an answer says of the rule pack that decided, and of the others that could have."""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any

NOT_IF_EMPTY: Mapping[str, tuple[str, ...]] = {"Evaluation": ("told_not_used",), "PackUsed": ("words",)}
"""Members of an answer that are left out where there is nothing in them, by the shape that has them."""


@dataclass(frozen=True, slots=True)
class AlsoUsable:
    """A rule pack that could lawfully have decided too. `differing`: a line for each part, room or size that it judges otherwise."""

    pack_id: str
    standard: str
    differing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PackUsed:
    """The rule pack that decided; `also_usable`: others in use on that day. `chosen_by`: a field of the description.

    `words`: the digest of the file of its sentences, by language; there only where the pack has such a file.
    """

    pack_id: str
    digest: str
    standard: str
    title: str
    usable_from: str
    usable_to: str | None
    review_by: str
    chosen_by: str
    chosen_on: str
    in_use_on_that_day: bool
    note: str
    also_usable: tuple[AlsoUsable, ...] = ()
    words: Mapping[str, str] = field(default_factory=dict)


def members_of(shape: Any) -> dict[str, Any]:
    """The members of a shape of an answer, in its order, without those that are left out where they are empty."""
    left_out = NOT_IF_EMPTY.get(type(shape).__name__, ())
    members = {one.name: getattr(shape, one.name) for one in fields(shape)}
    return {name: member for name, member in members.items() if member or name not in left_out}

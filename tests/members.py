"""Values with named members, written out whole."""

from collections.abc import Mapping
from typing import Any

from bondwright.members import member_names


def as_mapping(value: Any) -> dict[str, Any]:
    """The members of a value by name, and so on within each."""
    return {name: _within(getattr(value, name)) for name in member_names(value)}


def _within(value: Any) -> Any:
    if member_names(value):
        return as_mapping(value)
    if isinstance(value, tuple | list):
        return [_within(one) for one in value]
    return {name: _within(one) for name, one in value.items()} if isinstance(value, Mapping) else value

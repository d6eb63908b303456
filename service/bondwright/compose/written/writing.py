"""The answer as bytes: what is answered, stored, digested and replayed."""

from collections.abc import Callable
from functools import cache
from operator import attrgetter
from typing import Any

import orjson

from bondwright.compose.answer import Evaluation
from bondwright.compose.written.members import members_of
from bondwright.compose.written.tables import Tables

_SHAPES = "shapes"
_NUMBERS = (int, float, bool)


def evaluation_bytes(evaluation: Evaluation) -> bytes:
    """The evaluation as JSON bytes: its members, and behind them the tables that they point into."""
    tables = Tables()
    return orjson.dumps(_members(evaluation, tables) | tables.filled())


def _members(shape: Any, tables: Tables) -> dict[str, Any]:
    """The members of a shape, in its order, without those in which there is nothing."""
    members: dict[str, Any] = {}
    held_by, ways = _ways(shape.__class__)
    for (name, way, many, may_lack), held in zip(ways, held_by(shape), strict=True):
        if may_lack and not held and held.__class__ not in _NUMBERS:
            continue
        if not way:
            members[name] = held
        elif way == _SHAPES:
            members[name] = [_members(one, tables) for one in held] if many else _members(held, tables)
        else:
            members[name] = tables.places(way, held) if many else tables.place(way, held)
    return members


@cache
def _ways(shape: type) -> tuple[Callable[[Any], tuple[Any, ...]], tuple[tuple[str, str, bool, bool], ...]]:
    """What gives the members of a shape, and of each its name, the table of what it holds, whether that is many, and may be nothing.

    For a table stands SHAPES where it holds shapes, and nothing where it holds a value of its own.
    """
    members = members_of(shape)
    assert len(members) > 1, f"of {shape.__name__} it would give the one member, and not all members"
    ways = tuple((one.name, one.table or (_SHAPES if one.holds else ""), one.many, one.may_lack) for one in members)
    return attrgetter(*(one.name for one in members)), ways

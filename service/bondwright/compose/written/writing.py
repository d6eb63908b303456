"""The answer as bytes: what is answered, stored, digested and replayed."""

from collections.abc import Callable
from functools import cache
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
    put: dict[str, Callable[[Any], Any]] = {
        "verdicts": tables.verdict,
        "sizes": tables.size,
        "questions": tables.question,
        "sentences": tables.sentence,
    }
    put[_SHAPES] = lambda one: _members(one, put)
    try:
        return orjson.dumps(_members(evaluation, put) | tables.filled())
    finally:
        put.clear()  # it holds itself, and would keep the tables until somebody looks for garbage


def _members(shape: Any, put: dict[str, Callable[[Any], Any]]) -> dict[str, Any]:
    """The members of a shape, in its order, without those in which there is nothing."""
    members: dict[str, Any] = {}
    for name, way, many, may_lack in _ways(shape.__class__):
        held = getattr(shape, name)
        if may_lack and not held and held.__class__ not in _NUMBERS:
            continue
        if not way:
            members[name] = held
        elif many:
            members[name] = [put[way](one) for one in held]
        else:
            members[name] = put[way](held)
    return members


@cache
def _ways(shape: type) -> tuple[tuple[str, str, bool, bool], ...]:
    """Of each member its name, what puts down what it holds, if it is no value of its own, whether that is many, and may be nothing."""
    return tuple((one.name, one.table or (_SHAPES if one.holds else ""), one.many, one.may_lack) for one in members_of(shape))

"""What may be expected of each kind of subject, and what a value of it looks like. Outcomes and their levels come from the pack."""

from collections.abc import Callable, Mapping
from typing import Any, TypeAlias

Json: TypeAlias = Any

Shape: TypeAlias = Callable[[Json], str]
"""What would be right instead of a value; empty where it is right."""

NAMED: Mapping[str, tuple[str, ...]] = {
    "parts": ("part", "test", "finding"),
    "rooms": ("room", "room_part", "finding"),
    "bonds": ("bond",),
    "earthings": ("earthing",),
}
"""Subjects that go by name, with the kinds of subject whose outcomes their answers tell."""
ALONE: Mapping[str, tuple[str, ...]] = {"feeder": ("installation",), "main_bond_size": (), "earthing_conductor_size": (), "plan": ()}
"""Subjects of which an answer has one, in the same way."""

CLAUSES, LIMIT_CLAUSES, LINK_CLAUSES = "clauses", "limit_clauses", "link_clauses"
"""Under which clauses an answer was found: of what is judged, of the limit of a place, and of the sizes of its links."""
EXACTLY, AS_A_SET, AMONG, WITHIN = "exactly", "as a set", "among", "within"


def _text(value: Json) -> str:
    return "" if isinstance(value, str) and value else "text that is not empty"


def _firm(value: Json) -> str:
    return "" if isinstance(value, bool) else "`true` or `false`"


def _number(value: Json) -> str:
    return "" if isinstance(value, int | float) and not isinstance(value, bool) else "a number"


def _number_or_range(value: Json) -> str:
    if isinstance(value, list) and len(value) == 2 and not any(_number(one) for one in value):
        return ""
    return "" if not _number(value) else "a number, or the lowest and the highest as a list of two"


def _or_null(shape: Shape) -> Shape:
    def or_null(value: Json) -> str:
        wrong = "" if value is None else shape(value)
        return f"{wrong}, or `null`" if wrong else ""

    return or_null


def _names(value: Json) -> str:
    is_list = isinstance(value, list) and all(isinstance(one, str) and one for one in value)
    return "" if is_list and len(set(value)) == len(value) else "a list of different names"


def _some_names(value: Json) -> str:
    return _names(value) or ("" if value else "at least one name; an empty list compares nothing")


def _acted_on(value: Json) -> str:
    right = isinstance(value, dict) and value and all(isinstance(one, str) and one for one in value.values())
    return "" if right else "an object of what is safe to act on by the name of its outcome; name at least one"


def _connected(value: Json) -> str:
    right = isinstance(value, dict) and value and all(isinstance(one, str) and one for one in value.values())
    return "" if right else "an object of levels of `connection` by the name of their part; name at least one"


def _links(value: Json) -> str:
    right = isinstance(value, dict) and not any(_number_or_range(one) for one in value.values())
    return "" if right else "an object of numbers by the name of their size"


_REASONS: Mapping[str, tuple[Shape, str]] = {
    "because": (_names, AS_A_SET),
    CLAUSES: (_some_names, AMONG),
    "asks": (_some_names, AMONG),
    "remarks": (_some_names, AMONG),
    "other_views": (_some_names, AMONG),
}
_GIVEN: Mapping[str, tuple[Shape, str]] = {"firm": (_firm, EXACTLY), **_REASONS}
_JUDGED: Mapping[str, tuple[Shape, str]] = {"act_on": (_acted_on, AMONG), **_GIVEN}
_OBSERVED: tuple[Shape, str] = (_or_null(_text), EXACTLY)
_ADVISED: Mapping[str, tuple[Shape, str]] = {"act": (_text, EXACTLY), "mark": (_text, EXACTLY), **_JUDGED}
_SIZED: Mapping[str, tuple[Shape, str]] = {
    **_GIVEN,
    "lowest": (_number, EXACTLY),
    "highest": (_number, EXACTLY),
    "provisional": (_or_null(_number), EXACTLY),
}

KEYS: Mapping[str, Mapping[str, tuple[Shape, str]]] = {
    "parts": {
        **_ADVISED,
        "observation": _OBSERVED,
        "place": (_text, WITHIN),
        "covered_by": (_names, EXACTLY),
        "size_mm2": (_or_null(_number), EXACTLY),
        "reading": (_or_null(_text), EXACTLY),
    },
    "rooms": {
        **_ADVISED,
        "observation": _OBSERVED,
        "omitted_once": (_or_null(_text), WITHIN),
        "links": (_links, EXACTLY),
        "connections": (_connected, AMONG),
        "resistance_limit_ohm": (_or_null(_number_or_range), EXACTLY),
        "limit_other_views": (_some_names, AMONG),
        "link_other_views": (_some_names, AMONG),
        LIMIT_CLAUSES: (_some_names, AMONG),
        LINK_CLAUSES: (_some_names, AMONG),
    },
    "bonds": {**_JUDGED, "observation": _OBSERVED},
    "earthings": {**_ADVISED, "observation": _OBSERVED},
    "feeder": _ADVISED,
    "main_bond_size": _SIZED,
    "earthing_conductor_size": _SIZED,
    "plan": dict.fromkeys(("connections", "bonded", "covered"), (_names, EXACTLY)),
}
"""What may be expected beside outcomes, by subject and key: what the value looks like, and how it is compared.

`exactly`: equal. `as a set`: the same names in any order. `among`: all of them are told, an outcome with that to act on.
`within`: a piece of the words.
"""

OUTCOME: tuple[Shape, str] = (_text, EXACTLY)
"""The same for the level of an outcome."""
